// Runs a little shorter than the time between two readings: the contact is asked too seldom to see each of them.

import { describe, expect, it } from "vitest";
import { missesBriefRuns, newBriefRuns, noteBriefRuns } from "../../analysis/cycles/by-signal/brief-runs.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, inflow_m3s, reading, smallSite, startTime_s } from "./small-basin.ts";

/** The small basin with a pump that empties it in `run_s`, its cycles in no step with the readings. */
function briefReadings(run_s: number, interval_s: number, cycles: number): Reading[] {
  const random = seededRandom(7);
  const rest_s = 203.3;
  const [low_m, rise_m] = [0.1, (inflow_m3s / area_m2) * rest_s];
  const cycle_s = rest_s + run_s;
  return Array.from({ length: Math.floor((cycles * cycle_s) / interval_s) }, (_, i) => {
    const phase_s = (i * interval_s) % cycle_s;
    const pumpOn = phase_s >= rest_s;
    const level_m = low_m + rise_m * (pumpOn ? 1 - (phase_s - rest_s) / run_s : phase_s / rest_s);
    return reading(startTime_s + i * interval_s, { level_m: level_m + random.normal(0.001), pumpOn });
  });
}

describe("runs of 8.5 s by readings each 10 s", () => {
  const { cycles, summary } = analyse(smallSite, briefReadings(8.5, 10, 80));

  it("are read off the level once the contact is known to miss some", () => {
    // Of the first few that the contact sees one in seven is missed.
    expect(cycles.length).toBeGreaterThanOrEqual(77);
    expect(cycles.length).toBeLessThanOrEqual(80);
  });

  it("leave mean and peak of the inflow as they are", () => {
    expect((summary.inflow.mean_lpm ?? 0) / 6).toBeCloseTo(1, 1.5);
    expect((summary.inflow.peak["600"]?.lpm ?? 0) / 6).toBeCloseTo(1, 1.5);
    expect(summary.findings).toEqual([]);
  });
});

describe("runs of 8.5 s by readings each 5 s", () => {
  it("are pumped in full: those that look short have the usual rate, as those that look long", () => {
    const { summary } = analyse(smallSite, briefReadings(8.5, 5, 80));
    // What has gathered and what comes in meanwhile, less 0.5 s of 8.5 that a pump is given to come up to speed.
    const cycle_l = 6 * ((203.3 + 8.5) / 60);
    const share = (summary.totals.pumped_l ?? 0) / (80 * cycle_l);
    expect(share).toBeGreaterThan(0.92);
    expect(share).toBeLessThan(1.03);
  });
});

describe("missesBriefRuns", () => {
  const seenBy = (readings: readonly number[]) => {
    const state = newBriefRuns();
    for (const count of readings) {
      for (let i = 0; i < count; i += 1) noteBriefRuns(state, true);
      noteBriefRuns(state, false);
    }
    return state;
  };

  it("is said of runs that a single reading saw each", () => {
    expect(missesBriefRuns(seenBy([1, 1, 1, 1, 1]), false)).toBe(true);
  });

  it("is not said of too few runs, nor of those that two readings saw as often", () => {
    expect(missesBriefRuns(seenBy([1, 1, 1, 1]), false)).toBe(false);
    expect(missesBriefRuns(seenBy([1, 2, 1, 2, 1, 2, 1, 1]), false)).toBe(false);
  });

  it("holds on while most are", () => {
    expect(missesBriefRuns(seenBy([1, 1, 1, 1, 1, 1, 2, 1]), true)).toBe(true);
    expect(missesBriefRuns(seenBy([1, 1, 1, 1, 1, 1, 2, 2]), true)).toBe(false);
  });
});
