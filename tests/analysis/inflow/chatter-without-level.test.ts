import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { randomOf } from "../../truth/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../small-basin.ts";

const pump_m3s = 1e-3;
const inflow_m3s = 1e-4;
const [chatterFrom_s, chatterTo_s] = [4 * 3600, 5 * 3600];

/** Eight hours each second by the contact alone; for an hour the float opens and closes as the water comes up to it. */
function chatteringFloat(): Reading[] {
  const random = randomOf("a float that chatters, without a level");
  const readings: Reading[] = [];
  let [level_m, called, broken, next_s] = [0.2, false, false, 0];
  for (let t = 0; t < 8 * 3600; t += 1) {
    if (level_m >= 0.3) called = true;
    else if (level_m <= 0.1) called = false;
    const chatters = called && t > chatterFrom_s && t < chatterTo_s && level_m > 0.22;
    if (t >= next_s) [broken, next_s] = [!broken, t + random.between(1, 4)];
    const on = called && !(chatters && broken);
    level_m += (inflow_m3s - (on ? pump_m3s : 0)) / area_m2;
    readings.push(reading(startTime_s + t, { pumpOn: on }));
  }
  return readings;
}

describe("a float that chatters, by the pump's contact alone", () => {
  const { summary } = analyse(smallSite, chatteringFloat());

  it("fills the basin no faster for that", () => {
    expect(Math.abs((summary.inflow.mean_lpm ?? 0) / 6 - 1)).toBeLessThan(0.1);
    for (const window of ["60", "600", "3600"] as const) expect(summary.inflow.peak[window]?.lpm).toBeLessThan(1.2 * 6);
  });

  it("is no pump too small for what comes in", () => {
    expect(summary.findings.map(({ kind }) => kind)).toEqual(["short-cycling"]);
  });
});
