// A float that holds the pump on through a storm: the basin stays empty, and what comes in meanwhile shows nowhere.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../small-basin.ts";

const hour_s = 3600;

/** 2 L/min, with `storm_lpm` on top at the height of a storm from 3 to 11 h; the pump moves 66 L/min, and runs on from 6 to 8 h. */
function played(every_s: number, storm_lpm: number) {
  const random = seededRandom(4);
  const readings: Reading[] = [];
  let [level_m, pumpOn, cameIn_l] = [0.2, false, 0];
  for (let time_s = 0; time_s < 14 * hour_s; time_s += 0.5) {
    const height = Math.max(0, Math.sin((Math.PI * (time_s / hour_s - 3)) / 8));
    const inflow_lpm = 2 + (time_s < 11 * hour_s ? storm_lpm * height ** 2 : 0);
    cameIn_l += inflow_lpm / 120;
    level_m = Math.max(0.04, level_m + (0.5 * (inflow_lpm - (pumpOn ? 66 : 0))) / 60_000 / area_m2);
    if (level_m >= 0.3) pumpOn = true;
    const held = time_s > 6 * hour_s && time_s < 8 * hour_s;
    if (level_m <= 0.1 && !held) pumpOn = false;
    if (time_s % every_s === 0)
      readings.push(reading(startTime_s + time_s, { level_m: level_m + random.normal(0.001), pumpOn }));
  }
  return { ...analyse(smallSite, readings).summary, mean_lpm: cameIn_l / (14 * 60) };
}

describe.each([5, 30])("a pump that runs dry for two hours of a storm, read every %i s", (every_s) => {
  it("leaves mean and peaks the least that came in", () => {
    const { inflow, findings, mean_lpm } = played(every_s, 24);
    expect(findings.map(({ kind }) => kind)).toContain("float-stuck-on");
    expect(inflow.mean_lpm).toBeLessThan(1.02 * mean_lpm);
    expect(inflow.mean_at_least).toBe(true);
    for (const window of ["60", "600", "3600"] as const) {
      expect(inflow.peak[window]?.lpm).toBeLessThan(1.05 * 26);
      expect(inflow.peak[window]?.at_least).toBe(true);
    }
  });

  it("leaves what a little one brought within what is said of mean and hour", () => {
    const { inflow, mean_lpm } = played(every_s, 6);
    const hour = inflow.peak["3600"];
    // Over the hour around its height sin² is 0.987 on the average.
    for (const [lpm, u95_lpm, isLeast, true_lpm] of [
      [inflow.mean_lpm, inflow.mean_u95_lpm, inflow.mean_at_least, mean_lpm],
      [hour?.lpm, hour?.u95_lpm, hour?.at_least, 2 + 0.987 * 6],
    ] as const) {
      expect(lpm).toBeLessThan(true_lpm);
      expect(isLeast === true ? Number.POSITIVE_INFINITY : u95_lpm).toBeGreaterThan(true_lpm - (lpm ?? Number.NaN));
    }
  });

  it("hides nothing while little comes in", () => {
    const { inflow, mean_lpm } = played(every_s, 0);
    expect(Math.abs((inflow.mean_lpm ?? 0) / mean_lpm - 1)).toBeLessThan(0.01);
    expect(inflow.mean_at_least).toBeUndefined();
    expect(inflow.peak["3600"]?.at_least).toBeUndefined();
  });
});
