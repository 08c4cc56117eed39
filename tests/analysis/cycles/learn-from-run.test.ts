import { describe, expect, it } from "vitest";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, pumpRate_m3s, reading, smallSite, startTime_s } from "../small-basin.ts";

/** The small basin in a trickle, read every half minute; for so long the float is stuck up, and the pump finds no water. */
function trickle(stuckFor_s: number) {
  const random = seededRandom(3);
  const readings = [];
  let [level_m, pumpOn] = [0.12, false];
  const isStuck = (t: number) => t >= 86_400 && t < 86_400 + stuckFor_s;
  for (let t = 0; t < 2 * 86_400; t += 1) {
    level_m = Math.max(0.06, level_m + (8.5e-6 - (pumpOn ? pumpRate_m3s : 0)) / area_m2);
    if (isStuck(t) || level_m >= 0.3) pumpOn = true;
    else if (level_m <= 0.1) pumpOn = false;
    if (t % 30 === 0) readings.push(reading(startTime_s + t, { level_m: level_m + random.normal(0.001), pumpOn }));
  }
  const { sizing, inflow } = analyse(smallSite, readings).summary;
  return (sizing.margin ?? Number.NaN) * (inflow.peak["600"]?.lpm ?? Number.NaN);
}

describe("what runs of unknown length teach together of the pump", () => {
  it("leaves out the time that a float which is stuck up made it run dry", () => {
    const moves_lpm = pumpRate_m3s * 60_000;
    // Some seventy runs of 18 s by readings 30 s apart: each is known to 14 s, all together to a tenth. The time in which
    // it ran dry is five times as long as all of them.
    for (const stuckFor_s of [0, 5400]) {
      expect(trickle(stuckFor_s) / moves_lpm).toBeGreaterThan(0.8);
      expect(trickle(stuckFor_s) / moves_lpm).toBeLessThan(1.25);
    }
  });
});
