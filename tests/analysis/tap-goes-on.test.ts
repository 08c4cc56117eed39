// A tap that runs through a stop of the pump and is shut a while after: what it still brings looks like water that runs back.

import { describe, expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

describe("a tap that is shut soon after a stop", () => {
  it.each([1, 2])("is inflow, and no water that runs back (%d)", (seed) => {
    const random = seededRandom(seed);
    const [base_m3s, tap_m3s, pump_m3s] = [5e-6, 1.4e-4, 1.5e-3];
    const readings = [];
    let [level_m, pumpOn, cameIn_m3, tapFor_s, next_s, runs] = [0.2, false, 0, 0, 3600, 0];
    const duration_s = 2 * 86_400;
    for (let t = 0; t < duration_s; t += 1) {
      if (t >= next_s) {
        // It runs through two or three cycles, and up to a minute on.
        [tapFor_s, next_s, runs] = [Number.POSITIVE_INFINITY, t + 5400 + 7200 * random.uniform(), 2 + (t % 2)];
      }
      const in_m3s = base_m3s + (tapFor_s > 0 ? tap_m3s : 0);
      tapFor_s -= 1;
      cameIn_m3 += in_m3s;
      level_m += (in_m3s - (pumpOn ? pump_m3s : 0)) / area_m2;
      if (level_m >= 0.3) pumpOn = true;
      if (level_m <= 0.1 && pumpOn) {
        pumpOn = false;
        runs -= 1;
        if (runs === 0) tapFor_s = 5 + 50 * random.uniform();
      }
      readings.push(reading(startTime_s + t, { level_m: level_m + random.normal(0.002), pumpOn }));
    }
    const { cycles, summary, figures } = analyse(smallSite, readings);
    expect(cycles.length).toBeGreaterThan(25);
    for (const { drainBack_m3 } of cycles) expect(drainBack_m3 ?? 0).toBeLessThan(5e-4);
    expect(summary.findings.map(({ kind }) => kind)).not.toContain("check-valve-leak");
    expect(Math.abs((figures.mean?.flow_m3s ?? 0) / (cameIn_m3 / duration_s) - 1)).toBeLessThan(0.01);
  });
});
