// How fast a recording is read: 30 days at 1 Hz (2.59 million rows, 85 MB) against merely touching every byte, in
// turns in one process. Run: node tests/bench/read-recording.ts [days]

import { closeSync, createWriteStream, mkdtempSync, openSync, readSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { finished } from "node:stream/promises";
import { readRecording } from "../../daemon/recordings/read-recording.ts";

const days = Number(process.argv[2] ?? 30);
const rounds = days > 60 ? 1 : 7;
const folder = mkdtempSync(join(tmpdir(), "bench-recording-"));
try {
  const file = join(folder, "recording.csv");
  const bytes = await generate(file, days * 86_400);
  const touched: number[] = [];
  const read: number[] = [];
  for (let round = 0; round < rounds; round++) {
    touched.push(timed(() => touchEveryByte(file)));
    const start = performance.now();
    const rows = await readAll(file);
    read.push(performance.now() - start);
    if (rows !== days * 86_400) throw new Error(`read ${rows} rows of ${days * 86_400}`);
  }
  const touch_ms = Math.min(...touched);
  const read_ms = Math.min(...read);
  console.log(`${(bytes / 1e6).toFixed(1)} MB, ${days * 86_400} rows, best of ${rounds}`);
  console.log(`touch every byte ${touch_ms.toFixed(0)} ms, ${(bytes / touch_ms / 1e3).toFixed(0)} MB/s`);
  console.log(`read to readings ${read_ms.toFixed(0)} ms, ${((read_ms / days / 86_400) * 1e6).toFixed(0)} ns a row`);
  console.log(
    `ratio ${(read_ms / touch_ms).toFixed(2)}, peak memory ${(process.resourceUsage().maxRSS / 1024).toFixed(0)} MB`,
  );
} finally {
  rmSync(folder, { recursive: true });
}

async function readAll(file: string): Promise<number> {
  let rows = 0;
  let sum = 0;
  const result = await readRecording(file, { onRestart() {} }, (reading) => {
    rows += 1;
    sum += reading.level_m ?? 0;
  });
  if (result.problems.length > 0 || !(sum > 0)) throw new Error(result.problems.join("\n"));
  return rows;
}

function touchEveryByte(file: string): void {
  const chunk = new Uint8Array(256 * 1024);
  const descriptor = openSync(file, "r");
  let sum = 0;
  for (let length = readSync(descriptor, chunk); length > 0; length = readSync(descriptor, chunk)) {
    for (let position = 0; position < length; position++) sum = (sum + (chunk[position] ?? 0)) | 0;
  }
  closeSync(descriptor);
  if (sum === 0) throw new Error("an empty file");
}

function timed(work: () => void): number {
  const start = performance.now();
  work();
  return performance.now() - start;
}

/** A basin that fills in ten minutes and is emptied in twenty seconds; 33 bytes a row. Invented. */
async function generate(file: string, rows: number): Promise<number> {
  const out = createWriteStream(file);
  out.write("time,level_mm,pump_on\n");
  for (let row = 0; row < rows; ) {
    let text = "";
    for (const end = Math.min(row + 3600, rows); row < end; row++) {
      const inCycle = row % 620;
      const level_mm = inCycle < 600 ? 150 + inCycle / 3 : 350 - (inCycle - 600) * 10;
      const noise_mm = ((row * 7919) % 31) / 10;
      const stamp = new Date(1_767_225_600_000 + row * 1000).toISOString();
      text += `${stamp},${(level_mm + noise_mm).toFixed(1)},${inCycle < 600 ? 0 : 1}\n`;
    }
    if (!out.write(text)) await new Promise((resolve) => out.once("drain", resolve));
  }
  out.end();
  await finished(out);
  return out.bytesWritten;
}
