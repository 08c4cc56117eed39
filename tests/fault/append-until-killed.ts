// A child that writes a store as hard as a daemon may, until it is killed. It says what it has done, line by line:
// `reading n time` when reading n was handed over, `cycle n` when the cycle that ends with reading n was acknowledged.
// Run: node append-until-killed.ts STORE [CYCLES-PER-READING]

import { writeSync } from "node:fs";
import { silentReading } from "../../analysis/readings/reading.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";

const store = openSqliteStore(process.argv[2] ?? "");
const cyclesPerReading = Number(process.argv[3] ?? 0.002);
let n = store.readingCount();
say("open");

setInterval(() => {
  for (let i = 0; i < 10; i++) appendOne(); // 1 kHz
}, 10);

function appendOne(): void {
  // The level is the reading's number: whoever reads the store sees at once whether one is missing or out of order.
  store.append({ ...silentReading, time_s: Date.now() / 1000, level_m: n, pumpOn: n % 2 === 0 });
  say(`reading ${n} ${Date.now()}`);
  if (Math.random() < cyclesPerReading) {
    store.saveInflow({ from_s: n, to_s: n + 1, inflow_m3s: n, uInflow_m3s: 0 });
    store.saveCycle({ ...bareCycle, startedAt_s: n, stoppedAt_s: n });
    say(`cycle ${n}`);
    store.saveCheckpoint({ state: { n }, readingsSeen: n + 1 });
  }
  n++;
}

function say(line: string): void {
  writeSync(1, `${line}\n`); // at once: a buffered line would die with the process
}

const bareCycle = {
  run_s: 0,
  rest_s: null,
  startLevel_m: null,
  stopLevel_m: null,
  inflow: null,
  pumpRate: null,
  drainBack_m3: null,
};
