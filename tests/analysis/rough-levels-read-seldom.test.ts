// A calm basin whose level comes each minute, rough by some millimetres and now and then off altogether, so that rests hold
// a dozen readings: what lies between them is noise, and no cycles too quick to be seen.

import { expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, siteWithCurve, startTime_s } from "./small-basin.ts";

const inflow_m3s = 2.5e-5;

/** A day of 1.5 L/min in, with 4 mm of noise and the sensor off by 8 cm at each seventieth reading. */
function played(pump_m3s: number, contact: boolean) {
  const random = seededRandom(2);
  let [volume_m3, on] = [0.1 * area_m2, false];
  const readings: Reading[] = [];
  for (let t = 0; t < 86_400; t += 1) {
    volume_m3 += inflow_m3s - (on ? pump_m3s : 0);
    if (volume_m3 >= 0.3 * area_m2) on = true;
    if (volume_m3 <= 0.1 * area_m2) on = false;
    if (t % 60 !== 0) continue;
    const spike_m = random.uniform() < 0.015 ? 0.08 : 0;
    const level_m = volume_m3 / area_m2 + random.normal(0.004) + spike_m;
    readings.push(reading(startTime_s + t, { level_m, pumpOn: contact ? on : null }));
  }
  return analyse(siteWithCurve(pump_m3s), readings).summary;
}

it.each([
  ["the level alone", 1.4e-3, false],
  ["level and contact", 2.2e-3, true],
])("are told for what they are by %s: about what comes in, and no starts too often", (_, pump_m3s, contact) => {
  const { inflow, findings } = played(pump_m3s, contact);
  expect((inflow.mean_lpm ?? 0) / (60_000 * inflow_m3s)).toBeCloseTo(1, 1);
  expect(findings).toEqual([]);
});
