// A recording that ends, or a gap that begins, within seconds of a stop: what rises then is water that settles and runs back.

import { describe, expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const inflow_lpm = 1.5;

/** Some cycles read each 5 s, the surface 15 mm too low at a stop and level again 15 s later; up to the third reading at rest. */
function* readings() {
  const random = seededRandom(2);
  let [level_m, pumpOn, stopped_s, stops] = [0.2, false, Number.NEGATIVE_INFINITY, 0];
  for (let time_s = 0; stops < 6 || time_s <= stopped_s + 12; time_s += 1) {
    level_m += (inflow_lpm - (pumpOn ? 66 : 0)) / 60_000 / area_m2;
    if (level_m >= 0.3) pumpOn = true;
    if (level_m <= 0.1 && pumpOn) {
      pumpOn = false;
      stopped_s = time_s;
      stops += 1;
    }
    const settles_m = 0.015 * Math.max(0, 1 - (time_s - stopped_s) / 15);
    if (time_s % 5 === 0)
      yield reading(startTime_s + time_s, { level_m: level_m - settles_m + random.normal(0.0005), pumpOn });
  }
}

describe("a rest that breaks off within seconds of its stop", () => {
  it("makes no peak of what settles", () => {
    const { summary } = analyse(smallSite, readings());
    expect(summary.inflow.peak["60"]?.lpm).toBeLessThan(1.2 * inflow_lpm);
  });
});
