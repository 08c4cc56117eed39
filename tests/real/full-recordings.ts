// The full recordings of which tests/fixtures has cuts, and those that may not stand in the project: found against
// counted independently. Run: node tests/real/full-recordings.ts DATA_FOLDER

import { existsSync } from "node:fs";
import { agrees, compareRecordings } from "./recording-comparisons.ts";

const folder = process.argv[2];
if (folder === undefined || !existsSync(folder)) {
  console.error("usage: node tests/real/full-recordings.ts DATA_FOLDER");
  process.exit(2);
}
let all = 0;
let off = 0;
for await (const comparison of compareRecordings(folder)) {
  const { what, file, found, known, tolerance } = comparison;
  if (found === null) {
    console.log(`left out  ${what}: no ${file}`);
    continue;
  }
  all += 1;
  if (!agrees(comparison)) off += 1;
  const allowed = tolerance > 0 ? ` ± ${tolerance}` : "";
  console.log(`${agrees(comparison) ? "agrees  " : "DIFFERS "}  ${what}: found ${found}, known ${known}${allowed}`);
}
console.log(`${off} of ${all} differ`);
process.exitCode = off === 0 ? 0 : 1;
