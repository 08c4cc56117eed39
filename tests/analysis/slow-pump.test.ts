// A pump that is small for its basin: it takes minutes for each run, most of what it moves comes in meanwhile, and the rests
// between its runs are brief.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { AnalyzerState } from "../../analysis/analyzer-state.ts";
import { newBriefRuns, noteBriefRuns, timesRuns } from "../../analysis/cycles/by-signal/brief-runs.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, siteWithCurve, smallSite, startTime_s } from "./small-basin.ts";

const contactToo = { noise_m: 0.001, step_m: 0, contact: true };

/** From 0.1 to 0.3 m: 20 L. Each turn falls at a time of its own within the interval, as a cycle is a bit more than a whole number. */
function played(inflow_lpm: number, pump_lpm: number, every_s: number, cycles: number, sensor = contactToo) {
  const random = seededRandom(3);
  const rest_s = (20 / inflow_lpm) * 60;
  const cycle_s = rest_s + (20 / (pump_lpm - inflow_lpm)) * 60;
  const readings = Array.from({ length: Math.floor((cycles * cycle_s) / every_s) }, (_, i) => {
    const phase_s = (i * every_s) % cycle_s;
    const pumpOn = phase_s >= rest_s;
    const gained_l = pumpOn ? 20 - ((pump_lpm - inflow_lpm) * (phase_s - rest_s)) / 60 : (inflow_lpm * phase_s) / 60;
    const read_m = 0.1 + gained_l / 1000 / area_m2 + random.normal(sensor.noise_m);
    const level_m = sensor.step_m > 0 ? Math.round(read_m / sensor.step_m) * sensor.step_m : read_m;
    return reading(startTime_s + i * every_s, { level_m, pumpOn: sensor.contact ? pumpOn : null });
  });
  return analyse(smallSite, readings);
}

describe("runs of a quarter of an hour", () => {
  it("tell what the pump moves, where as much comes in before them as after", () => {
    const { summary } = played(4.7, 6, 5, 16);
    expect(summary.findings.map(({ kind }) => kind)).toContain("undersized");
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / 4.7 - 1)).toBeLessThan(0.005);
  });
});

describe("runs of four minutes between rests of one, read each half minute", () => {
  const { cycles, summary } = played(19, 24, 30, 80);

  it("are timed by the contact", () => {
    expect(Math.abs(cycles.length - 80)).toBeLessThanOrEqual(2);
    const run_s = cycles.reduce((sum, cycle) => sum + cycle.run_s, 0) / cycles.length;
    expect(Math.abs(run_s / 240 - 1)).toBeLessThan(0.05);
  });

  it("leave mean and peak of the inflow as they are", () => {
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / 19 - 1)).toBeLessThan(0.01);
    expect(Math.abs((summary.inflow.peak["600"]?.lpm ?? 0) / 19 - 1)).toBeLessThan(0.05);
  });
});

describe.each([
  ["is noisy by 6 mm", { noise_m: 0.006, step_m: 0, contact: false }],
  ["goes in steps of 8 mm", { noise_m: 0.0005, step_m: 0.008, contact: false }],
])("runs of six minutes by the level alone, which %s", (_, sensor) => {
  const { cycles, summary } = played(7, 10.2, 1, 24, sensor);

  it("are seen, one by one", () => {
    expect(Math.abs(cycles.length - 24)).toBeLessThanOrEqual(1);
    const run_s = cycles.reduce((sum, cycle) => sum + cycle.run_s, 0) / cycles.length;
    expect(Math.abs(run_s / 375 - 1)).toBeLessThan(0.05);
  });

  it("leave mean and hour of the inflow about as they are", () => {
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / 7 - 1)).toBeLessThan(0.06);
    expect(Math.abs((summary.inflow.peak["3600"]?.lpm ?? 0) / 7 - 1)).toBeLessThan(0.06);
  });
});

describe("a quick pump in a storm whose cycles keep step with readings each minute", () => {
  it.each([
    ["is read off the level, though parts of thirty runs look like one to the contact", 1.33e-3, "level"],
    ["is left to the contact, if it is as slow as it looks", 0.2e-3, "signal"],
  ])("%s", (_, published_m3s, view) => {
    const analyzer = createAnalyzer(siteWithCurve(published_m3s));
    for (let i = 0; i < 500; i += 1) {
      const phase_s = (i * 60) % 60.9;
      const pumpOn = phase_s >= 30.4;
      const level_m = pumpOn ? 0.3 - (0.2 * (phase_s - 30.4)) / 30.5 : 0.1 + (0.2 * phase_s) / 30.4;
      analyzer.push(reading(startTime_s + i * 60, { level_m, pumpOn }));
    }
    expect((analyzer.snapshot() as AnalyzerState).view).toBe(view);
  });
});

describe("timesRuns", () => {
  const seenBy = (runs: readonly (readonly [rest: number, run: number])[]) => {
    const state = newBriefRuns();
    for (const [rest, run] of runs) {
      for (let i = 0; i < rest; i += 1) noteBriefRuns(state, false);
      for (let i = 0; i < run; i += 1) noteBriefRuns(state, true);
    }
    return state;
  };

  it("is said of runs that three readings saw, with two between them", () => {
    expect(
      timesRuns(
        seenBy([
          [1, 3],
          [2, 3],
          [2, 4],
          [9, 3],
          [1, 0],
        ]),
        false,
      ),
    ).toBe(true);
  });

  it("is said of the first run as soon as three readings saw it", () => {
    expect(timesRuns(seenBy([[1, 2]]), false)).toBe(false);
    expect(timesRuns(seenBy([[1, 3]]), false)).toBe(true);
  });

  it("is not said of briefer ones, nor where rests are", () => {
    expect(
      timesRuns(
        seenBy([
          [9, 2],
          [9, 2],
          [1, 0],
        ]),
        false,
      ),
    ).toBe(false);
    expect(
      timesRuns(
        seenBy([
          [1, 9],
          [1, 9],
          [1, 9],
          [1, 0],
        ]),
        false,
      ),
    ).toBe(false);
  });
});
