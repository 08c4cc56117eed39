// A level sensor that freezes in a storm, whose rests and runs are shorter than it takes to be sure of that: the run before says
// nothing by the levels that were only said again.

import { describe, expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const inflow_lpm = 35;
const pump_lpm = 66;

/** An hour read each 2 s; from the middle on, in a rest, the level is what it was then. */
function* readings(byCurrent = false) {
  const random = seededRandom(5);
  let [level_m, pumpOn, frozen_m] = [0.2, false, Number.NaN];
  for (let time_s = 0; time_s < 3600; time_s += 1) {
    level_m += (inflow_lpm - (pumpOn ? pump_lpm : 0)) / 60_000 / area_m2;
    if (level_m >= 0.3) pumpOn = true;
    if (level_m <= 0.1) pumpOn = false;
    const seen_m = Math.round((level_m + random.normal(0.0007)) * 1e4) / 1e4;
    if (Number.isNaN(frozen_m) && time_s > 1800 && !pumpOn && level_m > 0.27) frozen_m = seen_m;
    const told = byCurrent
      ? { pumpOn: null, pumpCurrent_a: (pumpOn ? 6 : 0.1) * (1 + random.normal(0.02)) }
      : { pumpOn };
    if (time_s % 2 === 0)
      yield reading(startTime_s + time_s, { level_m: Number.isNaN(frozen_m) ? seen_m : frozen_m, ...told });
  }
}

describe("a level sensor that freezes in a storm", () => {
  it("makes no peak of the runs whose levels it only said again", () => {
    const { summary } = analyse(smallSite, readings());
    const peak_lpm = summary.inflow.peak["60"]?.lpm ?? Number.NaN;
    expect(Math.abs(peak_lpm / inflow_lpm - 1)).toBeLessThan(0.1);
  });

  it("hides none of the runs that a motor's current shows, but for one or two before it is known", () => {
    const [byContact, byCurrent] = [false, true].map((way) => analyse(smallSite, readings(way)).cycles.length);
    expect(byContact).toBeGreaterThan(8);
    expect(byCurrent).toBeGreaterThanOrEqual((byContact ?? 0) - 2);
  });
});
