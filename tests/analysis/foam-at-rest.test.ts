// Foam on the water before anyone knows of it: for minutes levels toss about, over where the pump starts, too.

import { describe, expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const foam = { from_s: 20_600, to_s: 24_000 };

/** Eight hours, 1 L/min, a level and a contact every 5 s; the pump starts at 0.3 m and the water stands little lower. */
function readings(foam_m: number, seed: number) {
  const random = seededRandom(seed);
  const found = [];
  let [level_m, pumpOn] = [0.1, false];
  for (let time_s = 0; time_s < 28_800; time_s += 1) {
    level_m += 1 / 60_000 / area_m2 - (pumpOn ? 0.01 : 0);
    if (level_m >= 0.3) pumpOn = true;
    if (level_m <= 0.1) pumpOn = false;
    if (time_s % 5 !== 0) continue;
    const noise_m = time_s >= foam.from_s && time_s < foam.to_s ? foam_m : 0.001;
    found.push(reading(startTime_s + time_s, { level_m: level_m + random.normal(noise_m), pumpOn }));
  }
  return found;
}

describe("foam on the water, read every 5 s", () => {
  it.each([10, 16, 26, 28])("is no pump that does not start and no high water (%i)", (seed) => {
    const { findings } = analyse(smallSite, readings(0.1, seed)).summary;
    expect(findings.filter(({ kind }) => kind !== "sensor-fault")).toEqual([]);
  });
});
