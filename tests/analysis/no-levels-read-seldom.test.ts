// A site file that states no levels, and a contact asked too seldom to see each run: the level shows them.

import { expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { courseAt, cycle_s, reading, smallSite, startTime_s } from "./small-basin.ts";

const { basin } = smallSite;
const site = { ...smallSite, basin: { ...basin, startLevel_m: null, stopLevel_m: null, highLevel_m: null } };

it.each([30, 60])("sees nearly every run of 20 s by readings %i s apart, and what came in", (every_s) => {
  const random = seededRandom(5);
  // Cycles and readings keep no step. The first few go by before it is known that the contact misses some.
  const readings = Array.from({ length: Math.floor(86_400 / every_s) }, (_, i) => {
    const { level_m, pumpOn } = courseAt(i * every_s * 1.013);
    return reading(startTime_s + i * every_s, { level_m: level_m + random.normal(0.001), pumpOn });
  });
  const { cycles, summary } = analyse(site, readings);
  expect(Math.abs((cycles.length * cycle_s) / 86_400 / 1.013 - 1)).toBeLessThan(0.06);
  expect(Math.abs((summary.inflow.mean_lpm ?? 0) / 6 / 1.013 - 1)).toBeLessThan(0.01);
});
