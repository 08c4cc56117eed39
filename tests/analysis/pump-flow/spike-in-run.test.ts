// A spike among the few readings of a run, of which a fit cannot know that it is one: the rests on either side do.

import { expect, it } from "vitest";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { courseReadings, pumpRate_m3s, run_s, smallSite } from "../small-basin.ts";

it.each([4.03, 5.03])("is in no run's rate, nor in what was pumped, read each %d s", (interval_s) => {
  const random = seededRandom(11);
  const noise = () => random.normal(0.002) + (random.uniform() < 0.03 ? (random.uniform() < 0.5 ? -0.25 : 0.25) : 0);
  const { cycles, summary } = analyse(smallSite, courseReadings(2 * 86_400, { interval_s, noise }));
  const rates = cycles.flatMap(({ pumpRate }) => (pumpRate === null ? [] : [pumpRate.flow_m3s / pumpRate_m3s]));
  expect(rates.length).toBeGreaterThan(0.8 * cycles.length);
  expect(Math.max(...rates)).toBeLessThan(1.6);
  expect(Math.min(...rates)).toBeGreaterThan(0.5);
  const pumped_m3 = cycles.length * pumpRate_m3s * run_s;
  expect(Math.abs((summary.totals.pumped_l ?? 0) / 1000 / pumped_m3 - 1)).toBeLessThan(0.04);
});
