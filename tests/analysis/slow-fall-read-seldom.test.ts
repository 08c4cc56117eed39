import { describe, expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

/** By the level alone, every 10 s: fills by 200 mm in `fills_s`, and the pump takes `empties_s` to take that down again. */
function meanInflow(fills_s: number, empties_s: number, noise_m: number): number {
  const random = seededRandom(1);
  const readings = Array.from({ length: 1800 }, (_, i) => {
    const phase_s = (10 * i) % (fills_s + empties_s);
    const share = phase_s < fills_s ? phase_s / fills_s : 1 - (phase_s - fills_s) / empties_s;
    return reading(startTime_s + 10 * i, { level_m: 0.1 + 0.2 * share + random.normal(noise_m) });
  });
  const inflow_lpm = ((0.2 * area_m2) / fills_s) * 60_000;
  return (analyse(smallSite, readings).summary.inflow.mean_lpm ?? 0) / inflow_lpm;
}

describe("a pump that runs for most of the time, by a noisy level alone that is read every 10 s", () => {
  it("counts hardly any of a run as a rest", () => {
    expect(Math.abs(meanInflow(107, 365, 0.005) - 1)).toBeLessThan(0.05);
    expect(Math.abs(meanInflow(240, 365, 0.005) - 1)).toBeLessThan(0.1);
    expect(Math.abs(meanInflow(107, 365, 0.008) - 1)).toBeLessThan(0.1);
  });
});
