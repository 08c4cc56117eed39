import { describe, expect, it } from "vitest";
import { analyse } from "../../analyse.ts";
import { reading, smallSite, startTime_s } from "../../small-basin.ts";

const [cycle_s, run_s, hours] = [195, 50, 24];

/**
 * Runs of 50 s, one each 195 s, the second pump's each so many; without a level, each pump asked for as often as that.
 * Figures are over what is true, and without a unit.
 */
function told(every_s: number, ofSecond = 2) {
  const readings = Array.from({ length: Math.floor((hours * 3600) / every_s) }, (_, i) => {
    const at_s = i * every_s;
    const runs = at_s % cycle_s >= cycle_s - run_s;
    const second = Math.floor(at_s / cycle_s) % ofSecond === 1;
    return reading(startTime_s + at_s, { pumpOn: runs && !second, pump2On: runs && second });
  });
  const { inflow, totals } = analyse(smallSite, readings).summary;
  const true_lpm = (20 / (cycle_s - run_s)) * 60;
  const true_l = true_lpm * hours * 60;
  return {
    mean: (inflow.mean_lpm ?? Number.NaN) / true_lpm,
    u95Mean: (inflow.mean_u95_lpm ?? Number.NaN) / true_lpm,
    pumped: totals.pumped_l === null ? null : totals.pumped_l / true_l,
    u95Pumped: (totals.pumped_u95_l ?? Number.NaN) / true_l,
  };
}

describe("what came in and what two pumps moved, without a level", () => {
  it.each([5, 20])("is what lies between the floats, run by run, where each is read: each %i s", (every_s) => {
    const { mean, pumped } = told(every_s);
    expect(Math.abs(mean - 1)).toBeLessThan(0.02);
    expect(Math.abs((pumped ?? 0) - 1)).toBeLessThan(0.03);
  });

  it("goes by how many runs fit between those that were read, where the two take turns", () => {
    const { mean, u95Mean, pumped, u95Pumped } = told(60);
    expect(Math.abs(mean - 1)).toBeLessThan(u95Mean);
    expect(Math.abs((pumped ?? 0) - 1)).toBeLessThan(u95Pumped);
    expect(Math.max(u95Mean, u95Pumped)).toBeLessThan(0.5);
  });

  it("is not known where runs of a standby beside the other go by between readings", () => {
    expect(told(60, 6).pumped).toBeNull();
  });
});
