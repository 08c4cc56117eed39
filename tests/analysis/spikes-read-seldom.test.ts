// Two spikes with one level between them, in mid-run, by the level alone read each 5 s: each makes the other look like a turn.

import { expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

/** 7 L/min in; the pump takes 6 min for the 20 L between the floats, and in its fifth run the sensor is off twice. */
function played(spikes_m: readonly [number, number]) {
  const random = seededRandom(2);
  const [rest_s, run_s] = [171.4, 375];
  const from_s = 4 * (rest_s + run_s) + rest_s + 180;
  const at = Math.round(from_s / 5);
  const readings = Array.from({ length: 1200 }, (_, i) => {
    const phase_s = (i * 5) % (rest_s + run_s);
    const gained_l = phase_s < rest_s ? (7 * phase_s) / 60 : 20 - (3.2 * (phase_s - rest_s)) / 60;
    const off_m = i === at ? spikes_m[0] : i === at + 2 ? spikes_m[1] : 0;
    return reading(startTime_s + i * 5, { level_m: 0.1 + gained_l / 1000 / area_m2 + off_m + random.normal(0.001) });
  });
  const { cycles, summary } = analyse(smallSite, readings);
  return { cycles, inflow: summary.inflow, starts: Math.floor((1200 * 5) / (rest_s + run_s)) };
}

it.each([
  [-0.1, 0.1],
  [-0.05, 0.045],
  [0.1, -0.1],
])("are no turn where they are off by %d and %d m", (first_m, second_m) => {
  const { cycles, inflow, starts } = played([first_m, second_m]);
  expect(Math.abs(cycles.length - starts)).toBeLessThanOrEqual(1);
  expect(Math.abs((inflow.mean_lpm ?? 0) / 7 - 1)).toBeLessThan(0.02);
  expect((inflow.peak["60"]?.lpm ?? 0) / 7).toBeLessThan(1.5);
});
