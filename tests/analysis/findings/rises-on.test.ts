// Read half a minute apart: a pump that moves nothing from one run on, while the water rises as it did at rest.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { analyse } from "../analyse.ts";
import { area_m2, pumpRate_m3s, reading, smallSite, startTime_s } from "../small-basin.ts";

const inflow_m3s = 1e-5;
const [low_m, high_m, rim_m] = [0.1, 0.3, 0.6];

/** Usual cycles for `days`, then `thenInflow_m3s` comes in and the pump moves a share of what it did, for three hours. */
function readings(days: number, share: number, thenInflow_m3s: number): Reading[] {
  const found: Reading[] = [];
  let [level_m, pumpOn] = [low_m, false];
  const until_s = days * 86_400;
  let changed = false;
  for (let time_s = 0; time_s < until_s + 6 * 3600; time_s += 1) {
    changed ||= time_s > until_s && pumpOn;
    const moves_m3s = pumpOn ? pumpRate_m3s * (changed ? share : 1) : 0;
    level_m += ((changed ? thenInflow_m3s : inflow_m3s) - moves_m3s) / area_m2;
    level_m = Math.min(level_m, rim_m);
    if (level_m >= high_m) pumpOn = true;
    if (level_m <= low_m) pumpOn = false;
    if (time_s % 30 === 0) found.push(reading(startTime_s + time_s, { level_m, pumpOn }));
  }
  return found;
}

const kindsOf = (found: ReturnType<typeof analyse>) => new Set(found.summary.findings.map(({ kind }) => kind));

describe("a pump that moves nothing, read every half minute", () => {
  it("is told as a blocked discharge, and not as too small", () => {
    const found = analyse(smallSite, readings(1, 0, inflow_m3s));
    const blocked = found.summary.findings.find(({ kind }) => kind === "discharge-blocked");
    expect(blocked?.evidence.cause).toBe("blocked");
    expect(kindsOf(found)).not.toContain("undersized");
    expect(found.summary.sizing.verdict).not.toBe("undersized");
  });

  it("is told from a storm that overtakes the pump", () => {
    const storm = analyse(smallSite, readings(1, 1, 1.2 * pumpRate_m3s));
    expect(kindsOf(storm)).not.toContain("discharge-blocked");
    expect(kindsOf(storm)).toContain("inflow-exceeds-pump");
  });
});
