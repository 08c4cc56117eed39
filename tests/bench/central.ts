// Whether one machine carries many boards: npm run bench:central [-- --boards 100,300,1000 --minutes 10]
//
// The very broker and database that deploy/central sets up, `undercroft run --central` as a process of its own, and
// simulated boards with a connection, a publisher and a forwarder each, a reading every 5 s. Says whether anything was lost
// or doubled, how old things are when they reach the page, and what a board costs, with its growth. By default a short
// try; the figures of deploy/central/capacity.md are from `--boards 100,300,1000 --minutes 10`.

import { parseArgs } from "node:util";
import { type Measured, measureSize } from "./central/one-size.ts";
import { growth, ofSize } from "./central/report.ts";
import { trueMessages } from "./central/true-messages.ts";

const { values } = parseArgs({
  options: {
    boards: { type: "string", default: "20,40,80" },
    minutes: { type: "string", default: "1" },
    every: { type: "string", default: "5" },
    /** Of the time over which sizes are compared; the largest then goes on for the rest. */
    compared: { type: "string", default: "2" },
    json: { type: "boolean", default: false },
  },
});

const sizes = values.boards.split(",").map(Number);
const whole_s = Number(values.minutes) * 60;
const measured_s = Math.min(whole_s, Number(values.compared) * 60);
const every_s = Number(values.every);
if (sizes.some((boards) => !(boards >= 1)) || !(whole_s >= 10) || !(every_s >= 1)) {
  console.error(
    "expected --boards 100,300,1000 (each at least 1), --minutes of at least 0.2 and --every of at least 1 s",
  );
  process.exit(2);
}

for (const signal of ["SIGINT", "SIGTERM"]) process.once(signal, () => process.exit(1));
const truth = await trueMessages();
const results: Measured[] = [];
for (const boards of sizes) {
  const goesOn = boards === Math.max(...sizes);
  const size = { boards, every_s, measured_s, whole_s: goesOn ? whole_s : measured_s };
  const result = await measureSize(size, truth, (line) => console.error(`  ${line}`));
  results.push(result);
  for (const line of ofSize(result)) console.log(line);
}
if (values.json) console.log(JSON.stringify(results, null, 2));
for (const line of growth(results)) console.log(line);
process.exitCode = results.some(({ counted }) => counted.wrong.length > 0) ? 1 : 0;
