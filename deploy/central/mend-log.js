// Cuts the torn end off the database's log before the database starts. InfluxDB 1.6 does so itself, but then writes on
// where the torn end had been, behind a hole: at the start after that it reads up to the hole and throws away what it had
// acknowledged since. Plain JavaScript, for it runs where memory may not be made executable (`node --jitless`), which
// takes no types away.
//
//   node --jitless mend-log.js FOLDER      the database's `wal-dir`

import { closeSync, existsSync, fstatSync, ftruncateSync, openSync, readdirSync, readSync } from "node:fs";
import { join } from "node:path";

/** An entry: its kind (1 written, 2 and 3 deleted), the length of its body as four bytes, highest first, and the body. */
const head_B = 5;
const kinds = new Set([1, 2, 3]);

/**
 * @param {string} folder as `wal-dir` says: database/policy/shard/_00001.wal
 * @returns {{ readonly file: string, readonly cut_B: number }[]} what was cut
 */
export function mendLog(folder) {
  if (!existsSync(folder)) return [];
  const files = readdirSync(folder, { recursive: true, encoding: "utf8" }).filter((name) => name.endsWith(".wal"));
  return files
    .map((name) => ({ file: join(folder, name), cut_B: cutTornEnd(join(folder, name)) }))
    .filter(({ cut_B }) => cut_B > 0);
}

/** @param {string} file */
function cutTornEnd(file) {
  const handle = openSync(file, "r+");
  try {
    const { size } = fstatSync(handle);
    const whole_B = endOfWhole(handle, size);
    if (whole_B < size) ftruncateSync(handle, whole_B);
    return size - whole_B;
  } finally {
    closeSync(handle);
  }
}

/**
 * @param {number} handle
 * @param {number} size
 */
function endOfWhole(handle, size) {
  const head = Buffer.alloc(head_B);
  for (let at = 0; ; ) {
    if (readSync(handle, head, 0, head_B, at) < head_B || !kinds.has(head.readUInt8(0))) return at;
    const next = at + head_B + head.readUInt32BE(1);
    if (next > size) return at;
    at = next;
  }
}

if (import.meta.main) {
  for (const { file, cut_B } of mendLog(process.argv[2] ?? ""))
    console.log(`${file}: cut off a torn end of ${cut_B} B`);
}
