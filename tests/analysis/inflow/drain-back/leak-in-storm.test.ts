import { expect, it } from "vitest";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, pumpRate_m3s, reading, smallSite, startTime_s } from "../../small-basin.ts";

const leak_m3 = 0.005;
const emptyAfter_s = 120;
const calm_m3s = 3e-5;
const storm_m3s = 3.6e-4;
const stormFrom_s = 8000;

/** Water that has come back through a gap, so long after the stop, under a column that sinks. */
const back_m3 = (after_s: number) => leak_m3 * (1 - Math.max(0, 1 - after_s / emptyAfter_s) ** 2);

it.each([1, 2, 3])("a leak that calm rests have shown comes back in a storm's short ones too, played %d", (seed) => {
  const random = seededRandom(seed);
  let [stored_m3, pumpOn, stoppedAt_s] = [0.01, false, -1000];
  const readings = Array.from({ length: 12_000 }, (_, at_s) => {
    stored_m3 += (at_s < stormFrom_s ? calm_m3s : storm_m3s) - (pumpOn ? pumpRate_m3s : 0);
    if (!pumpOn) stored_m3 += back_m3(at_s - stoppedAt_s) - back_m3(at_s - 1 - stoppedAt_s);
    if (stored_m3 >= 0.03) pumpOn = true;
    if (stored_m3 <= 0.01 && pumpOn) [pumpOn, stoppedAt_s] = [false, at_s];
    return reading(startTime_s + at_s, { level_m: stored_m3 / area_m2 + random.normal(0.0015), pumpOn });
  });
  const { cycles, said } = analyse(smallSite, readings);
  expect(said.findings.map(({ finding }) => finding.kind)).toContain("check-valve-leak");
  const inStorm = cycles.filter(
    ({ startedAt_s, inflow }) => inflow !== null && startedAt_s > startTime_s + stormFrom_s + 200,
  );
  expect(inStorm.length).toBeGreaterThan(40);
  const found_m3s = inStorm.reduce((sum, { inflow }) => sum + (inflow?.flow_m3s ?? 0), 0) / inStorm.length;
  expect(Math.abs(found_m3s / storm_m3s - 1)).toBeLessThan(0.03);
});
