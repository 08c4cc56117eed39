import { describe, expect, it } from "vitest";
import { learnedPump } from "../../../../analysis/inflow/seldom-readings/pump-by-cycles.ts";
import { analyse } from "../../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../../small-basin.ts";

const hour_s = 3600;
const active_m3 = 0.03;
const known = { flow_m3s: 2e-3, uFlow_m3s: 0.1e-3, degreesOfFreedom: 20 };
const found = { flow_m3s: 1.8e-3, uFlow_m3s: 0.02e-3, degreesOfFreedom: 20 };

describe("what followed cycles show of the pump", () => {
  it("is taken where half of what it moves comes in", () => {
    expect(learnedPump(known, found, 0.5, active_m3).flow_m3s / 1.8e-3).toBeCloseTo(1, 2);
  });

  // A quarter of a second until up to speed makes runs of 150 s longer by 2.5 s: the pump seems a tenth slower.
  it("counts for little where nearly all of it does, or hardly anything", () => {
    for (const share of [0.9, 0.03]) {
      const { flow_m3s, uFlow_m3s } = learnedPump(known, found, share, active_m3);
      expect(flow_m3s).toBeGreaterThan(1.85e-3);
      expect(uFlow_m3s).toBeGreaterThan(0.07e-3);
    }
  });

  it("is what was known where they show nothing", () => {
    expect(learnedPump(known, known, 0.5, active_m3).flow_m3s).toBe(known.flow_m3s);
  });

  // Read each half minute; runs of 12 s and rests of 12 minutes until cycles of 111 s, of which the pump rests for 13.
  it("does not drift through a storm of nearly what it moves: the peaks were a twelfth too high", {
    timeout: 300_000,
  }, () => {
    const pump_m3s = 1.2e-3;
    const calm_m3s = (t: number) => 2e-5 * (1 + 0.3 * Math.sin((2 * Math.PI * t) / (7 * hour_s)));
    const storm_m3s = (t: number) =>
      t > 20 * hour_s && t < 28 * hour_s
        ? 0.88 * pump_m3s * Math.sin((Math.PI * (t - 20 * hour_s)) / (8 * hour_s)) ** 2
        : 0;
    let [volume_m3, on, since_s, highest_m3s] = [0.1 * area_m2, false, 0, 0];
    const readings = [];
    for (let t = 0; t < 32 * hour_s; t += 0.5) {
      const q_m3s = calm_m3s(t) + storm_m3s(t);
      highest_m3s = Math.max(highest_m3s, q_m3s);
      volume_m3 += (q_m3s - (on && t - since_s >= 0.5 ? pump_m3s : 0)) / 2;
      if (!on && volume_m3 >= 0.3 * area_m2) [on, since_s] = [true, t];
      if (on && volume_m3 <= 0.1 * area_m2) [on, volume_m3] = [false, volume_m3 + 0.3e-3];
      if (t % 30 === 0) readings.push(reading(startTime_s + t, { level_m: volume_m3 / area_m2, pumpOn: on }));
    }
    const { inflow } = analyse(smallSite, readings).summary;
    for (const window of ["60", "600"] as const)
      expect(Math.abs((inflow.peak[window]?.lpm ?? 0) / (highest_m3s * 60_000) - 1)).toBeLessThan(0.06);
  });
});
