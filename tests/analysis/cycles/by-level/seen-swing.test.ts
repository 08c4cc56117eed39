// Where the site file states no float levels, and readings are so far apart that a run and a rest have few each.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../../analysis/analyzer.ts";
import { feedLevel } from "../../../../analysis/cycles/by-level/level-runs.ts";
import { newLevelRuns } from "../../../../analysis/cycles/by-level/level-runs-state.ts";
import type { Site } from "../../../../analysis/site.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { area_m2, reading, smallSite, startTime_s } from "../../small-basin.ts";
import { hear } from "../heard.ts";

const interval_s = 60;
const fills_s = 430;
const empties_s = 550;
const cycle_s = fills_s + empties_s;
const cycles = 30;
const swing_m = 0.2;
const inflow_m3s = (area_m2 * swing_m) / fills_s;

/** Rises through the swing and falls again, under noise of a millimetre. */
function levels(): { readonly time_s: number; readonly level_m: number }[] {
  const random = seededRandom(3);
  return Array.from({ length: (cycles * cycle_s) / interval_s }, (_, i) => {
    const phase_s = (i * interval_s) % cycle_s;
    const share = phase_s < fills_s ? phase_s / fills_s : 1 - (phase_s - fills_s) / empties_s;
    return { time_s: i * interval_s, level_m: 0.1 + swing_m * share + random.normal(0.001) };
  });
}

const bareSite: Site = {
  ...smallSite,
  basin: { ...smallSite.basin, startLevel_m: null, stopLevel_m: null, highLevel_m: null, overflowLevel_m: null },
  pump: null,
};

describe("runs read off a level that turns every few readings, where no float levels are stated", () => {
  it("begin where the level turns, not after the half of the fall", () => {
    const state = newLevelRuns();
    const heard = hear();
    for (const { time_s, level_m } of levels()) feedLevel(state, { swing_m: null }, time_s, level_m, heard);
    const runs = heard.runs();
    expect(runs.length).toBeGreaterThan(cycles - 3);
    // What the swing is is seen in the first of them.
    for (const { startedAt_s, stoppedAt_s } of runs.slice(1)) {
      const off_s = ((startedAt_s - fills_s + cycle_s / 2) % cycle_s) - cycle_s / 2;
      expect(Math.abs(off_s)).toBeLessThan(1.5 * interval_s);
      expect(stoppedAt_s - startedAt_s).toBeGreaterThan(empties_s - 2.5 * interval_s);
    }
  });

  it("are none where a single reading lies low while the water rises", () => {
    const state = newLevelRuns();
    const heard = hear();
    const [rest_s, every] = [900, 5];
    for (let i = 0; i < (cycles * rest_s) / interval_s; i += 1) {
      const phase_s = (i * interval_s + 20) % rest_s;
      const wrong =
        Math.floor((i * interval_s) / rest_s) % every === every - 1 && Math.floor(phase_s / interval_s) === 8;
      feedLevel(
        state,
        { swing_m: null },
        i * interval_s,
        0.1 + (swing_m * phase_s) / rest_s - (wrong ? 0.11 : 0),
        heard,
      );
    }
    // The last run is only seen to begin.
    expect(heard.runs().length).toBe(cycles - 1);
  });

  it("tell the inflow, and of no pump that runs on", () => {
    const analyzer = createAnalyzer(bareSite);
    for (const { time_s, level_m } of levels()) analyzer.push(reading(startTime_s + time_s, { level_m }));
    analyzer.finish();
    const { inflow, findings } = analyzer.summary();
    expect(Math.abs((inflow.mean_lpm ?? 0) / (60_000 * inflow_m3s) - 1)).toBeLessThan(0.06);
    expect(findings).toEqual([]);
  });
});
