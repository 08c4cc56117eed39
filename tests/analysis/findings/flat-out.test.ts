import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { newState } from "../../../analysis/analyzer-state.ts";
import { nearlyAll, runWithoutFall_s } from "../../../analysis/findings/discharge-blocked.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { afterStart_s, noteFlatOut, wellBegun } from "../../../analysis/findings/flat-out.ts";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import {
  area_m2,
  courseReadings,
  cycle_s,
  inflow_m3s,
  pumpRate_m3s,
  reading,
  smallSite,
  startTime_s,
} from "../small-basin.ts";

/** The ordinary course for some hours, then a run that does not lower the water, up to the rim and along it. */
function heardOf(rise_ms: number, minutes: number, thenFalls_ms = 0) {
  const began: Finding[] = [];
  const analyzer = createAnalyzer(smallSite, {
    sink: {
      finding: (finding, change) => {
        if (change === "began") began.push(finding);
      },
    },
  });
  const calm_s = 40 * cycle_s;
  for (const one of courseReadings(calm_s - 20)) analyzer.push(one);
  for (let t = 0; t <= minutes * 60; t += 1) {
    const level_m = Math.min(0.6, 0.3 + rise_ms * t) + (t % 2) * 0.0005;
    analyzer.push(reading(startTime_s + calm_s - 20 + t, { level_m, pumpOn: true }));
  }
  const highest_m = Math.min(0.6, 0.3 + rise_ms * minutes * 60);
  for (let t = 1; thenFalls_ms > 0 && highest_m - thenFalls_ms * t > 0.1; t += 1) {
    const level_m = highest_m - thenFalls_ms * t;
    analyzer.push(reading(startTime_s + calm_s - 20 + minutes * 60 + t, { level_m, pumpOn: true }));
  }
  return began;
}

const small = (findings: readonly Finding[]) => findings.find(({ kind }) => kind === "undersized");

describe("a pump that runs flat out", () => {
  it("shows after ten minutes that at least as much comes in as it moves and the water rises, rim or not", () => {
    const rise_ms = 2e-3;
    const finding = small(heardOf(rise_ms, 11));
    // 0.3 m in ten minutes, of which the rim shows no more: at least the pump's flow and that.
    const least_m3s = pumpRate_m3s + (0.3 * area_m2) / 600;
    expect(Number(finding?.evidence.peak_600_s_m3s)).toBeGreaterThan(0.95 * least_m3s);
    expect(Number(finding?.evidence.peak_600_s_m3s)).toBeLessThan(1.05 * least_m3s);
    expect(finding?.from_s).toBeLessThan(startTime_s + 40 * cycle_s + 660);
  });

  it("shows nothing before ten minutes", () => {
    expect(small(heardOf(2e-3, 9))).toBeUndefined();
  });

  it("shows nothing when the water rises as it did at rest: the discharge may be blocked", () => {
    const findings = heardOf(inflow_m3s / area_m2 / 4, 15);
    expect(small(findings)).toBeUndefined();
    expect(findings.map(({ kind }) => kind)).toContain("discharge-blocked");
  });

  it("shows nothing either when a pump that was told to move nothing comes up by itself: air was caught in it", () => {
    const findings = heardOf(inflow_m3s / area_m2, 13, (pumpRate_m3s - inflow_m3s) / area_m2);
    expect(findings.map(({ kind }) => kind)).toContain("discharge-blocked");
    expect(small(findings)).toBeUndefined();
  });

  it("is not held against a level that, freed of spikes, still goes on as it did before the run", () => {
    const state = newState();
    const pump = { pumpRate_m3s, discharge_m3s: null, uDischarge_m3s: 0, best_m3s: null, startsAt_m: 0.29, lag_s: 10 };
    // Read each 5 s, in a storm that fills the basin in 20 s.
    for (const [time_s, level_m] of [
      [0, 0.2],
      [5, 0.25],
      [10, 0.3],
      [15, 0.299],
    ] as const) {
      noteFlatOut(state, basinGeometry(smallSite.basin.geometry), 0, time_s, level_m, pump);
    }
    expect(state.flatOut.marks).toEqual([{ time_s: 10, level_m: 0.3 }]);
  });

  it("is not asked for in the first readings of a plain run, of which nothing is worked out", () => {
    expect(afterStart_s).toBeGreaterThanOrEqual(runWithoutFall_s);
    // Of a run that has moved as much it is known already that the pump is sound.
    expect(nearlyAll).toBeGreaterThanOrEqual(wellBegun);
  });
});
