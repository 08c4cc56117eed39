// What one reading costs as the daemon pushes it, and whether anything grows from day to day.

import { serialize, setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { type Reading, silentReading } from "../../../analysis/readings/reading.ts";
import type { Site } from "../../../analysis/site.ts";
import { quantile } from "./in-turns.ts";
import type { Month } from "./month.ts";

setFlagsFromString("--expose-gc");
const collectGarbage: () => void = runInNewContext("gc");

const day_s = 86_400;

export function liveReadings(site: Site, month: Month) {
  const analyzer = createAnalyzer(site, {});
  const heapAfterDay_kb: number[] = [];
  const took_us = new Float64Array(month.rows);
  for (let i = 0; i < month.rows; i++) {
    const reading: Reading = {
      ...silentReading,
      time_s: (month.time_ms[i] ?? 0) / 1000,
      level_m: (month.level_mm[i] ?? 0) / 1000,
      pumpOn: month.pumpOn[i] === 1,
    };
    const begin = performance.now();
    analyzer.push(reading);
    took_us[i] = (performance.now() - begin) * 1000;
    if ((i + 1) % day_s === 0) heapAfterDay_kb.push(heap_kb());
  }
  // From the third on, when all is learned and compiled.
  const settled_us = took_us.subarray(Math.min(2, month.rows / day_s - 1) * day_s).sort();
  const [first_kb, last_kb] = [heapAfterDay_kb[Math.floor((heapAfterDay_kb.length * 2) / 3)], heapAfterDay_kb.at(-1)];
  return {
    median_us: settled_us[settled_us.length >> 1] ?? Number.NaN,
    p99_us: settled_us[Math.floor(settled_us.length * 0.99)] ?? Number.NaN,
    // In the last third; before that V8 still learns, which looks like growth and is not the state's.
    grown_kb: (last_kb ?? 0) - (first_kb ?? 0),
    state_kb: serialize(analyzer.snapshot()).length / 1024,
    clock_us: clock_us(),
  };
}

/** What it costs to ask for the time, which is in every figure. */
function clock_us(): number {
  return quantile(
    Array.from({ length: 10_000 }, () => -(performance.now() - performance.now()) * 1000),
    0.5,
  );
}

function heap_kb(): number {
  collectGarbage();
  return Math.round(process.memoryUsage().heapUsed / 1024);
}
