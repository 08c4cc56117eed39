// A child for the fault tests: a reading, then rows of a recording that are taken in and never ended.
// Run: node take-in-and-wait.ts STORE

import { silentReading } from "../../analysis/readings/reading.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";

const [, , path = ""] = process.argv;
const store = openSqliteStore(path);
store.append({ ...silentReading, time_s: 1, level_m: 0.5 });
const { take } = store.intake();
const count = 1_000_000; // on no step of any sensor: more than the database holds in memory, so that much is written
const column = (value: (n: number) => number) => Float64Array.from({ length: count }, (_, n) => value(n));
take(
  { time_ms: column((n) => 2000 + n * 1000), columns: [column((n) => Math.sqrt(n + 2))], channels: ["level_m"] },
  0,
  count,
);
console.log("taken");
setInterval(() => {}, 1000);
