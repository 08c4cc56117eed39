// A level that tells nothing for hours, beside the pump's float, or a contact that is read too seldom to time the runs.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import type { Site } from "../../analysis/site.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse, finalCycles, listen } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const hour_s = 3600;
/** Cycles of 10 min that keep no step with the readings. */
const inflow_lpm = 2.1;

type Tells = (level_m: number, time_s: number) => number | null;

/** What a sensor tells that is sound but for the time between two hours. */
function between(from_h: number, to_h: number, instead: (level_m: number) => number | null): Tells {
  return (level_m, time_s) => (time_s >= from_h * hour_s && time_s < to_h * hour_s ? instead(level_m) : level_m);
}

function frozen(): (level_m: number) => number {
  let held_m = Number.NaN;
  return (level_m) => {
    if (Number.isNaN(held_m)) held_m = level_m;
    return held_m;
  };
}

function played(tells: Tells, every_s: number, channel: "floatOn" | "pumpOn" = "floatOn", pump_lpm = 60) {
  const random = seededRandom(3);
  const found: Reading[] = [];
  const starts_s: number[] = [];
  let [level_m, on, ran_s] = [0.2, false, 0];
  for (let time_s = 0; time_s < 24 * hour_s; time_s += 0.5) {
    level_m += (0.5 * (inflow_lpm - (on ? pump_lpm : 0))) / 60_000 / area_m2;
    if (level_m >= 0.3 && !on) {
      on = true;
      starts_s.push(startTime_s + time_s);
    }
    if (level_m <= 0.1) on = false;
    if (on) ran_s += 0.5;
    if (time_s % every_s === 0)
      found.push(
        reading(startTime_s + time_s, { level_m: tells(level_m + random.normal(0.001), time_s), [channel]: on }),
      );
  }
  return { readings: found, starts_s, ran_s };
}

const faults: readonly [string, () => Tells][] = [
  ["drops out", () => between(8, 16, () => null)],
  ["is out of range", () => between(8, 16, () => 9.999)],
  ["is frozen", () => between(8, 16, frozen())],
  ["is missing in the first hours", () => between(0, 8, () => null)],
  ["drops out until the end", () => between(16, 25, () => null)],
];

describe.each([1, 10])("a float beside a level, read every %i s", (every_s) => {
  it.each(faults)("tells each run once while the level %s", (_, tells) => {
    const { readings, starts_s, ran_s } = played(tells(), every_s);
    const { summary, cycles } = analyse(smallSite, readings);
    for (const start_s of starts_s)
      expect(cycles.filter(({ startedAt_s }) => Math.abs(startedAt_s - start_s) < 60)).toHaveLength(1);
    expect(cycles).toHaveLength(starts_s.length);
    expect(Math.abs((summary.totals.run_s ?? 0) / ran_s - 1)).toBeLessThan(every_s === 1 ? 0.01 : 0.1);
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / inflow_lpm - 1)).toBeLessThan(0.02);
    expect(Math.abs((summary.inflow.peak[3600]?.lpm ?? 0) / inflow_lpm - 1)).toBeLessThan(0.05);
  });
});

describe("a contact that is read each half minute beside a level", () => {
  it("tells each run once while that drops out", () => {
    const { readings, starts_s } = played(
      between(8, 16, () => null),
      30,
      "pumpOn",
      20,
    );
    const { cycles } = analyse(smallSite, readings);
    expect(cycles).toHaveLength(starts_s.length);
  });
});

describe("a level that trembles and does not move", () => {
  it("is told to be frozen by the pump's float, which tells each run once", () => {
    const random = seededRandom(5);
    const held = frozen();
    const { readings, starts_s } = played(
      between(8, 16, (level_m) => held(level_m) + random.normal(0.001)),
      1,
    );
    const { summary, cycles } = analyse(smallSite, readings);
    expect(summary.findings.map(({ kind, evidence }) => [kind, evidence.problem])).toEqual([
      ["sensor-fault", "frozen"],
    ]);
    expect(cycles).toHaveLength(starts_s.length);
    expect(cycles.filter(({ inflow }) => inflow === null).length).toBeLessThan(3);
  });
});

describe("a level that comes and goes beside the float", () => {
  it("parts no run and tells none twice, over restarts too", () => {
    const comesAndGoes: Tells = (level_m, time_s) => (Math.floor(time_s / 400) % 2 === 1 ? null : level_m);
    const { readings, starts_s } = played(comesAndGoes, 1);
    const { said, options } = listen();
    let analyzer = createAnalyzer(smallSite, options);
    for (const [i, each] of readings.entries()) {
      if (i % 9973 === 9972)
        analyzer = createAnalyzer(smallSite, { ...options, resume: structuredClone(analyzer.snapshot()) });
      analyzer.push(each);
    }
    analyzer.finish();
    const cycles = finalCycles(said);
    for (const start_s of starts_s)
      expect(cycles.filter(({ startedAt_s }) => Math.abs(startedAt_s - start_s) < 60).length).toBeLessThan(2);
    expect(cycles.length).toBeLessThanOrEqual(starts_s.length);
    expect(cycles.length).toBeGreaterThan(0.95 * starts_s.length);
  });
});

it("hands on no time twice where cycles were followed between readings when the level dropped out", () => {
  const stormy = (time_s: number) => (time_s > 4 * hour_s && time_s < 20 * hour_s ? 6 * inflow_lpm : inflow_lpm);
  const readings: Reading[] = [];
  let [level_m, pumpOn] = [0.2, false];
  for (let time_s = 0; time_s < 24 * hour_s; time_s += 1) {
    level_m += (stormy(time_s) - (pumpOn ? 120 : 0)) / 60_000 / area_m2;
    if (level_m >= 0.3) pumpOn = true;
    if (level_m <= 0.1) pumpOn = false;
    const out = time_s > 12 * hour_s && time_s < 14 * hour_s;
    if (time_s % 30 === 0) readings.push(reading(startTime_s + time_s, { level_m: out ? null : level_m, pumpOn }));
  }
  const { said, summary } = analyse(smallSite, readings);
  let upTo_s = Number.NEGATIVE_INFINITY;
  for (const { from_s, to_s } of said.inflow) {
    expect(from_s).toBeGreaterThanOrEqual(upTo_s - 1e-6);
    upTo_s = to_s;
  }
  expect(summary.inflow.peak["60"]?.lpm).toBeLessThan(3 * 6 * inflow_lpm);
});

it("lets no float of one of two pumps tell alone, for it says nothing of the other's runs", () => {
  const { readings } = played(
    between(8, 16, () => null),
    1,
  );
  const pump = { curve: null, maxStartsPerHour: 20, minRun_s: 8 };
  const two: Site = { ...smallSite, pumps: [pump, pump] };
  const { cycles } = analyse(two, readings);
  const out = cycles.filter(
    ({ startedAt_s }) => startedAt_s > startTime_s + 9 * hour_s && startedAt_s < startTime_s + 15 * hour_s,
  );
  expect(out).toEqual([]);
});
