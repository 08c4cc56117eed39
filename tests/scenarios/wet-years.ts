// Whole wet years of healthy houses through the analysis and the alarms: what is told in them is told in vain. Too long for
// `npm test`: `node tests/scenarios/wet-years.ts 1 8` plays the houses 1 to 8, half a minute of processor time for each.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { toldOf } from "./told-over-time.ts";
import { wetYear } from "./wet-year.ts";

const [first = 1, last = first] = process.argv.slice(2).map(Number);
const folder = mkdtempSync(join(tmpdir(), "wet-years-"));
let messages = 0;
for (let seed = first; seed <= last; seed++) {
  const begun = process.cpuUsage();
  const told = await toldOf({ ...wetYear(seed), words: ["a wet year", seed] }, join(folder, `${seed}.sqlite`));
  const cpu_s = process.cpuUsage(begun).user / 1e6;
  console.log(
    `house ${seed}: ${told.messages.length} messages, ${told.findings.length} findings, ${cpu_s.toFixed(0)} s`,
  );
  for (const { kind, from_s, to_s } of told.findings) console.log(`  ${kind}, for ${(to_s ?? from_s) - from_s} s`);
  for (const { at_s, text } of told.messages) console.log(`  day ${(at_s / 86_400).toFixed(2)}: ${text}`);
  messages += told.messages.length;
}
rmSync(folder, { recursive: true });
process.exitCode = messages === 0 ? 0 : 1;
