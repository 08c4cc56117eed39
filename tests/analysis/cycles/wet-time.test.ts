import { describe, expect, it } from "vitest";
import { wetTime_s } from "../../../analysis/cycles/wet-time.ts";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import { randomOf } from "../../truth/random.ts";
import { area_m2, smallSite } from "../small-basin.ts";

const geometry = basinGeometry(smallSite.basin.geometry);
const step_m = 0.002;

/** Each second, in ripples of 3 mm and steps of 2 mm; the float is to open at 0.1 m. */
function wetTimes_s(run_s: number, level_m: (t: number) => number): number[] {
  return Array.from({ length: 20 }, (_, draw) => {
    const ripple = randomOf("ripples while the pump runs", draw);
    const t = Float64Array.from({ length: run_s }, (_, i) => i);
    const read_m = (at_s: number) => step_m * Math.round((level_m(at_s) + 0.003 * ripple.normal()) / step_m);
    const y = t.map((at_s) => area_m2 * read_m(at_s));
    const samples = { t, y, weight: new Float64Array(run_s).fill(1), count: run_s };
    return wetTime_s(samples, run_s, { basin: smallSite.basin, geometry });
  });
}

describe("wetTime_s", () => {
  it("is all of a run in a storm whose last millimetres go under in ripples", () => {
    // The float trips 4 mm under the stop level as it is given.
    const slow_ms = 2e-4;
    for (const wet_s of wetTimes_s(1500, (t) => 0.096 + slow_ms * (1500 - t))) expect(wet_s).toBe(1500);
    for (const wet_s of wetTimes_s(5400, (t) => 0.096 + 0.5 * slow_ms * (5400 - t))) expect(wet_s).toBe(5400);
  });

  it("is over where water that came down as slowly then stays for minutes", () => {
    for (const wet_s of wetTimes_s(2100, (t) => 0.096 + 2e-4 * Math.max(0, 1500 - t))) {
      expect(wet_s).toBeGreaterThan(1400);
      expect(wet_s).toBeLessThan(1510);
    }
  });
});
