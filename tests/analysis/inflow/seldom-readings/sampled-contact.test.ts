// A contact or float alone, read so seldom that whole runs fall between two readings.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import { reading, siteWithCurve, smallSite, startTime_s } from "../../small-basin.ts";

const active_m3 = 0.02;
const lpm = 60_000;
const hour_s = 3600;

interface Course {
  /** Start and stop of each run, seconds from the beginning. */
  readonly runs: readonly (readonly [number, number])[];
  readonly inflow_lpm: number;
}

/** Cycles whose floats scatter by 1 %, for so many hours. */
function course(run_s: number, rest_s: (time_s: number) => number, hours: number): Course {
  const random = seededRandom(11);
  const runs: [number, number][] = [];
  for (let t = 0; t < hours * hour_s; t = runs.at(-1)?.[1] ?? 0) {
    const start_s = t + rest_s(t) * (1 + random.normal(0.01));
    const q = active_m3 / rest_s(t);
    runs.push([start_s, start_s + active_m3 / (active_m3 / run_s - q)]);
  }
  return { runs, inflow_lpm: ((runs.length * active_m3 + cameInDuring(runs, run_s)) / (hours * hour_s)) * lpm };
}

/** What the pump lifts in a run beyond what lay between the floats. */
function cameInDuring(runs: Course["runs"], run_s: number): number {
  return runs.reduce((sum, [start_s, stop_s]) => sum + ((stop_s - start_s) / run_s - 1) * active_m3, 0);
}

function* eachInterval({ runs }: Course, interval_s: number, hours: number, channel: "pumpOn" | "floatOn") {
  let next = 0;
  for (let t = 0; t < hours * hour_s; t += interval_s) {
    while (next < runs.length && t >= (runs[next]?.[1] ?? 0)) next += 1;
    yield reading(startTime_s + t, { [channel]: t >= (runs[next]?.[0] ?? Number.POSITIVE_INFINITY) });
  }
}

/** With a published curve that gives 1.2 L/s on the discharge, whose basin is empty in 17 s. */
const curveSite = siteWithCurve(1.2e-3);

describe("a contact or float alone, read each minute, of runs that last 17 s", () => {
  it.each(["pumpOn", "floatOn"] as const)(
    "shows by %s what comes in, how often and how long the pump ran",
    (channel) => {
      // A run in three quarters of an hour to half an hour, as the day goes: more than two in three go unseen.
      const calm = course(17, (t) => 2250 + 450 * Math.sin(t / 14_000), 72);
      const { summary, cycles } = analyse(smallSite, eachInterval(calm, 60, 72, channel));
      const { inflow: found, totals } = summary;
      expect(cycles.length / calm.runs.length).toBeLessThan(0.4);
      expect(Math.abs((found.mean_lpm ?? 0) - calm.inflow_lpm)).toBeLessThan(found.mean_u95_lpm ?? 0);
      expect(Math.abs((found.mean_lpm ?? 0) / calm.inflow_lpm - 1)).toBeLessThan(0.2);
      expect(Math.abs(totals.starts / calm.runs.length - 1)).toBeLessThan(0.2);
      // What a rest brought of which nobody knows whether it was one, is not known.
      expect(cycles.slice(1).flatMap(({ inflow }, i) => (inflow === null ? [] : [i]))).toEqual([]);
    },
  );

  it("shows by how often it is seen to run what comes in where cycles last a minute or three", () => {
    const storm = course(17, (t) => 95 + 45 * Math.sin(t / 3000), 8);
    const { inflow, totals, findings } = analyse(curveSite, eachInterval(storm, 60, 8, "pumpOn")).summary;
    expect(Math.abs((inflow.mean_lpm ?? 0) - storm.inflow_lpm)).toBeLessThan(inflow.mean_u95_lpm ?? 0);
    expect((inflow.mean_u95_lpm ?? 0) / storm.inflow_lpm).toBeLessThan(0.6);
    expect(Math.abs(totals.starts / storm.runs.length - 1)).toBeLessThan(0.35);
    expect(findings.map(({ kind }) => kind)).toEqual(["short-cycling"]);
  });
});

describe("a contact alone, read each 15 s, in a storm whose rests last a reading or two", () => {
  it("shows by many of them what comes in, however little each says by itself", () => {
    const hours = 24;
    const rest_s = (t: number) => (t < 8 * hour_s || t > 16 * hour_s ? 1500 : 28 + 5 * Math.sin(t / 3000));
    const storm = course(19, rest_s, hours);
    const { inflow, totals } = analyse(smallSite, eachInterval(storm, 15, hours, "pumpOn")).summary;
    expect(Math.abs((inflow.mean_lpm ?? 0) / storm.inflow_lpm - 1)).toBeLessThan(0.04);
    expect(Math.abs((inflow.mean_lpm ?? 0) - storm.inflow_lpm)).toBeLessThan(inflow.mean_u95_lpm ?? 0);
    expect(Math.abs((totals.pumped_l ?? 0) / (storm.inflow_lpm * 60 * hours) - 1)).toBeLessThan(0.03);
  });
});

describe("a contact alone that never says that the pump runs", () => {
  const pumped_l = (interval_s: number) =>
    analyse(
      smallSite,
      Array.from({ length: (6 * hour_s) / interval_s }, (_, i) =>
        reading(startTime_s + interval_s * i, { pumpOn: false }),
      ),
    ).summary.totals.pumped_l;

  it("does not tell what was pumped where runs may have kept step with its readings", () => {
    expect(pumped_l(60)).toBeNull();
  });

  it("tells that nothing was where it is read each second", () => {
    expect(pumped_l(1)).toBe(0);
  });
});

describe("a level that is missing for the first hours", () => {
  it("tells the inflow from then on, whatever the contact missed before", () => {
    const run_s = 17;
    const fillsIn_s = 1790;
    const rows = Array.from({ length: 24 * 120 }, (_, i) => {
      const since_s = (30 * i) % (fillsIn_s + run_s);
      const pumpOn = since_s >= fillsIn_s;
      const level_m = pumpOn ? 0.3 - (0.2 * (since_s - fillsIn_s)) / run_s : 0.1 + (0.2 * since_s) / fillsIn_s;
      return reading(startTime_s + 30 * i, { level_m: 30 * i < 6 * hour_s ? null : level_m, pumpOn });
    });
    const { summary, cycles } = analyse(smallSite, rows);
    expect(cycles.filter(({ inflow }) => inflow !== null).length).toBeGreaterThan(30);
    expect((summary.inflow.mean_lpm ?? 0) / ((active_m3 / fillsIn_s) * lpm)).toBeCloseTo(1, 1);
    expect(summary.totals.pumped_l).toBeGreaterThan(40 * active_m3 * 1000);
  });
});

describe("a log of changes with a row each minute besides", () => {
  it("tells the edges themselves, however brief its runs are", () => {
    const { runs, inflow_lpm } = course(17, () => 1500, 24);
    const beats = [...eachInterval({ runs, inflow_lpm }, 60, 24, "pumpOn")];
    const changes: Reading[] = runs.flatMap(([start_s, stop_s]) => [
      reading(startTime_s + start_s, { pumpOn: true }),
      reading(startTime_s + stop_s, { pumpOn: false }),
    ]);
    const rows = [...beats, ...changes.filter(({ time_s }) => time_s < startTime_s + 24 * hour_s)];
    const { summary, cycles } = analyse(
      smallSite,
      rows.sort((a, b) => a.time_s - b.time_s),
    );
    expect(cycles.length).toBeGreaterThan(55);
    expect(cycles.slice(2).flatMap(({ inflow }, i) => (inflow !== null ? [] : [i]))).toEqual([]);
    expect((summary.inflow.mean_lpm ?? 0) / inflow_lpm).toBeCloseTo(1, 1);
  });
});
