// The water stood at the rim, a float hanging, while a storm came in: the level then says that nothing does, and the run that
// follows lowers it slowly.

import { expect, it } from "vitest";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "../small-basin.ts";

const rim_m = 0.6;
const hangsFrom_s = 4000;
const freedAt_s = 9000;

it.each([1, 2, 5])("is no blocked discharge, read each %i s", (every_s) => {
  const random = seededRandom(4);
  const readings = [];
  let [level_m, on] = [0.1, false];
  for (let t = 0; t < 10_500; t += 1) {
    const hangs = t >= hangsFrom_s && t < freedAt_s;
    on = hangs ? false : on ? level_m > 0.1 : level_m >= 0.3;
    // The storm is there within ten minutes, as the basin has long been full.
    const storm_m3s = Math.min(1, Math.max(0, (t - 5500) / 600)) * 8.5e-4;
    level_m = Math.min(rim_m, level_m + (inflow_m3s + storm_m3s - (on ? pumpRate_m3s : 0)) / area_m2);
    if (t % every_s === 0)
      readings.push(reading(startTime_s + t, { level_m: level_m + random.normal(0.001), pumpOn: on }));
  }
  const kinds = analyse(smallSite, readings).summary.findings.map(({ kind }) => kind);
  expect(kinds).toContain("float-stuck-off");
  expect(kinds).not.toContain("discharge-blocked");
});
