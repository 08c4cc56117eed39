import { describe, expect, it } from "vitest";
import { analyse } from "../../analyse.ts";
import { reading, smallSite, startTime_s } from "../../small-basin.ts";

/** Two pumps that take turns at runs of 50 s, one each 195 s; without a level, each pump asked for as often as that. */
function pumped(every_s: number): { readonly said_l: number | null; readonly true_l: number } {
  const [cycle_s, run_s, hours] = [195, 50, 24];
  const readings = Array.from({ length: Math.floor((hours * 3600) / every_s) }, (_, i) => {
    const at_s = i * every_s;
    const runs = at_s % cycle_s >= cycle_s - run_s;
    const second = Math.floor(at_s / cycle_s) % 2 === 1;
    return reading(startTime_s + at_s, { pumpOn: runs && !second, pump2On: runs && second });
  });
  const cycles = (hours * 3600) / cycle_s;
  return {
    said_l: analyse(smallSite, readings).summary.totals.pumped_l,
    true_l: cycles * 20 * (cycle_s / (cycle_s - run_s)),
  };
}

describe("what two pumps moved, without a level", () => {
  it("is what lies between the floats and came in meanwhile, run by run, where each run is read to its length", () => {
    const { said_l, true_l } = pumped(5);
    expect(Math.abs((said_l ?? 0) / true_l - 1)).toBeLessThan(0.03);
  });

  it("is not known where whole runs go by between readings", () => {
    expect(pumped(60).said_l).toBeNull();
  });
});
