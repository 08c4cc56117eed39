// A site file that states no levels, and a contact asked too seldom to see each run: the level shows them.

import { expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { reading, smallSite, startTime_s } from "./small-basin.ts";

const { basin } = smallSite;
const site = { ...smallSite, basin: { ...basin, startLevel_m: null, stopLevel_m: null, highLevel_m: null } };

/** 20 L come in within `rest_s`, and are gone within `run_s`. */
const [rest_s, run_s] = [1143, 21];

it.each([30, 60])("sees each run by readings %i s apart, and what came in", (every_s) => {
  const random = seededRandom(5);
  const readings = Array.from({ length: Math.floor(86_400 / every_s) }, (_, i) => {
    const phase_s = (i * every_s) % (rest_s + run_s);
    const pumpOn = phase_s >= rest_s;
    const level_m = pumpOn ? 0.3 - (0.2 * (phase_s - rest_s)) / run_s : 0.1 + (0.2 * phase_s) / rest_s;
    return reading(startTime_s + i * every_s, { level_m: level_m + random.normal(0.001), pumpOn });
  });
  const { cycles, summary } = analyse(site, readings);
  expect(Math.abs(cycles.length - 86_400 / (rest_s + run_s))).toBeLessThan(2);
  expect(Math.abs((summary.inflow.mean_lpm ?? 0) / (1200 / rest_s) - 1)).toBeLessThan(0.01);
  expect(summary.inflow.mean_at_least).toBeUndefined();
});
