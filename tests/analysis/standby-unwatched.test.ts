// A standby on a battery, with a float of its own and no contact, takes the water over while the pump that is watched does
// not start.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const hour_s = 3600;
const inflow_lpm = 3;
const fails_s = 8 * hour_s;

/** The pump does not start from `fails_s` to `repaired_s`; the standby turns at 0.36 and 0.22 m, and moves 40 L/min. */
function readings(every_s: number, repaired_s: number, hours: number): Reading[] {
  const random = seededRandom(3);
  const found: Reading[] = [];
  let [level_m, pumpOn, standby] = [0.1, false, false];
  for (let time_s = 0; time_s < hours * hour_s; time_s += 0.5) {
    const moved_lpm = (pumpOn ? 60 : 0) + (standby ? 40 : 0);
    level_m += (0.5 * (inflow_lpm - moved_lpm)) / 60_000 / area_m2;
    if (level_m >= 0.3) pumpOn = time_s < fails_s || time_s >= repaired_s;
    if (level_m <= 0.1) pumpOn = false;
    if (level_m >= 0.36) standby = true;
    if (level_m <= 0.22) standby = false;
    if (time_s % every_s === 0)
      found.push(reading(startTime_s + time_s, { level_m: level_m + random.normal(0.001), pumpOn }));
  }
  return found;
}

describe.each([1, 10])("a standby that nothing watches, read every %s s", (every_s) => {
  const repaired_s = 16 * hour_s;
  const played = analyse(smallSite, readings(every_s, repaired_s, 22));

  it("makes of a pump that does not start one finding, until that has run again", () => {
    expect(played.summary.findings.map(({ kind }) => kind)).toEqual(["float-stuck-off"]);
    const [stuck] = played.summary.findings;
    expect(Date.parse(stuck?.from ?? "") / 1000 - startTime_s - fails_s).toBeLessThan(2 * hour_s);
    expect(Date.parse(stuck?.to ?? "") / 1000 - startTime_s - repaired_s).toBeGreaterThan(0);
  });

  it("hides nothing of what comes in", () => {
    expect(Math.abs((played.summary.inflow.mean_lpm ?? 0) / inflow_lpm - 1)).toBeLessThan(0.01);
    expect(Math.abs((played.summary.inflow.peak[3600]?.lpm ?? 0) / inflow_lpm - 1)).toBeLessThan(0.02);
  });
});

it("leaves the inflow known while a rest goes on for days, and over a restart within it", () => {
  const all = readings(5, Number.POSITIVE_INFINITY, 80);
  let analyzer = createAnalyzer(smallSite);
  for (const [i, each] of all.entries()) {
    if (i % 9973 === 9972) analyzer = createAnalyzer(smallSite, { resume: structuredClone(analyzer.snapshot()) });
    analyzer.push(each);
  }
  analyzer.finish();
  expect(Math.abs((analyzer.summary().inflow.mean_lpm ?? 0) / inflow_lpm - 1)).toBeLessThan(0.01);
});
