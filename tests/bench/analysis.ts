// What the analysis costs per reading, against the least that could be done with the same numbers, and what it keeps.
// Run: node tests/bench/analysis.ts [days]      (at 1 Hz; default 30: half a minute)

import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import { type Reading, silentReading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { courseAt, cycle_s, smallSite, startTime_s } from "../analysis/small-basin.ts";

const days = Number(process.argv[2] ?? 30);
const day_s = 86_400;
const count = days * day_s;
const slower = 600 / cycle_s; // a cycle of ten minutes

setFlagsFromString("--expose-gc");
const collectGarbage: () => void = runInNewContext("gc");

const random = seededRandom(1);
const level_m = new Float64Array(count);
const pumpOn = new Uint8Array(count);
for (let i = 0; i < count; i++) {
  const course = courseAt(i / slower);
  level_m[i] = Math.round((course.level_m + random.normal(0.0015)) * 1e4) / 1e4;
  pumpOn[i] = course.pumpOn ? 1 : 0;
}

function milliseconds(work: () => unknown): number {
  const begin = performance.now();
  work();
  return performance.now() - begin;
}

/** Median of five, after two that warm up. */
function typical(work: () => unknown): number {
  const times = Array.from({ length: 7 }, () => milliseconds(work)).slice(2);
  return times.sort((a, b) => a - b)[2] ?? Number.NaN;
}

function sum(): number {
  let total = 0;
  for (let i = 0; i < count; i++) total += level_m[i] ?? 0;
  return total;
}

/** A fill is what lies between falls of 3 cm in ten readings; its slope by least squares on the running sums. */
function thresholdAndSlope(): { fills: number; slopes: number } {
  let fills = 0;
  let slopes = 0;
  let [n, sumT, sumTT, sumY, sumTY] = [0, 0, 0, 0, 0];
  for (let i = 10; i < count; i++) {
    const y = level_m[i] ?? 0;
    if (y - (level_m[i - 10] ?? 0) < -0.03) {
      if (n > 60) {
        fills += 1;
        slopes += (n * sumTY - sumT * sumY) / (n * sumTT - sumT * sumT);
      }
      n = sumT = sumTT = sumY = sumTY = 0;
      continue;
    }
    sumT += n;
    sumTT += n * n;
    sumY += y;
    sumTY += n * y;
    n += 1;
  }
  return { fills, slopes };
}

function readingAt(i: number, withPump: boolean): Reading {
  return {
    ...silentReading,
    time_s: startTime_s + i,
    level_m: level_m[i] ?? null,
    pumpOn: withPump ? pumpOn[i] === 1 : null,
  };
}

function heap_kb(): number {
  collectGarbage();
  return Math.round(process.memoryUsage().heapUsed / 1024);
}

function analysis(withPump: boolean): { readonly took_ms: number; readonly cycles: number; readonly grown_kb: number } {
  let cycles = 0;
  const analyzer = createAnalyzer(smallSite, {
    sink: { cycle: (_, stage) => (cycles += stage === "settled" ? 1 : 0) },
  });
  let took_ms = 0;
  let heapThen_kb = Number.NaN;
  for (let day = 0; day < days; day++) {
    took_ms += milliseconds(() => {
      for (let i = day * day_s; i < (day + 1) * day_s; i++) analyzer.push(readingAt(i, withPump));
    });
    if (day === Math.min(4, days - 2)) heapThen_kb = heap_kb();
  }
  const grown_kb = heap_kb() - heapThen_kb;
  analyzer.finish();
  return { took_ms, cycles, grown_kb };
}

const say = (what: string, took_ms: number, more = "") =>
  console.log(`${what.padEnd(42)} ${((took_ms * 1000) / count).toFixed(4).padStart(8)} µs per reading ${more}`);

const sum_ms = typical(sum);
const bare_ms = typical(thresholdAndSlope);
const making_ms = typical(() => {
  for (let i = 0; i < count; i++) readingAt(i, true);
});
console.log(`${days} days at 1 Hz: ${count} readings`);
say("sum of one array", sum_ms);
say(
  "bare threshold and slope",
  bare_ms,
  `(${(bare_ms / sum_ms).toFixed(1)} × the sum, ${thresholdAndSlope().fills} fills)`,
);
say("making the readings", making_ms);
for (const withPump of [true, false]) {
  const { took_ms, cycles, grown_kb } = analysis(withPump);
  const own_ms = took_ms - making_ms;
  const ratios = `${(own_ms / sum_ms).toFixed(0)} × the sum, ${(own_ms / bare_ms).toFixed(0)} × the bare pass`;
  say(
    `analysis, ${withPump ? "level and pump" : "level alone"}, making left out`,
    own_ms,
    `(${ratios}; ${cycles} cycles; heap from day 5 on ${grown_kb >= 0 ? "+" : ""}${grown_kb} kB)`,
  );
}
