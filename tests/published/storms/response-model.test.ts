// The forward model of rain to inflow against closed forms: Nash (1957), reservoirs in a row; the curve-number relation
// (TR-55, table 2-1) for what wetting ground lets through.

import { describe, expect, it } from "vitest";
import { answerRain, type Response } from "../../../analysis/storms/response-model.ts";

const inch_m = 0.0254;
const plain: Response = {
  catchment_m2: 100,
  firstLoss_m: 0,
  wetting_m: 1e-9,
  bareShare: 0,
  dries_s: 1e9,
  delay_s: 0,
  first_s: 3600,
  quick_s: 3600,
  power: 1,
  slowShare: 0,
  slow_s: 86_400,
  most_m3s: Number.POSITIVE_INFINITY,
};
const burst = (steps: number, depth_m: number, step_s: number) => {
  const rain = new Float64Array(steps);
  rain[0] = depth_m / step_s;
  return rain;
};
const volume = (flow: Float64Array, step_s: number) => flow.reduce((sum, q) => sum + q * step_s, 0);

describe("answerRain", () => {
  it("answers a burst as two equal reservoirs in a row do: V·t/k²·exp(−t/k), highest at k (Nash 1957)", () => {
    const step_s = 10;
    const flow = answerRain(plain, burst(20_000, 0.01, step_s), step_s, 1);
    expect(volume(flow, step_s)).toBeCloseTo(1, 6);
    const top = flow.indexOf(Math.max(...flow));
    expect(Math.abs(top * step_s - 3600)).toBeLessThan(60);
    expect(flow[720] as number).toBeCloseTo((1 * 7200) / 3600 ** 2 / Math.E ** 2, 6);
  });

  it("falls as a power law where the store is no linear one: Q ∝ S², 1/(1 + t/k) from S₀", () => {
    const step_s = 60;
    const response = { ...plain, first_s: 1e-3, power: 2 };
    const flow = answerRain(response, burst(1000, 0.036, step_s), step_s, 1e-3);
    // 3.6 m³ in the store whose reference outflow of 1 L/s goes with 3.6 m³: S = S₀/(1 + t/k), k = 3600 s.
    const left_m3 = 3.6 - volume(flow.subarray(0, 60), step_s);
    expect(left_m3).toBeCloseTo(3.6 / 2, 3);
  });

  it("lets through what the curve number does: 2.89 in of 5 in at 80, 0.96 of 3 at 75, 4.30 of 6 at 85 (TR-55, table 2-1)", () => {
    for (const [rain_in, number, runoff_in] of [
      [5, 80, 2.89],
      [3, 75, 0.96],
      [6, 85, 4.3],
    ] as const) {
      const wetting_in = 1000 / number - 10;
      const ground = { ...plain, wetting_m: wetting_in * inch_m, firstLoss_m: 0.2 * wetting_in * inch_m };
      const flow = answerRain(ground, burst(40_000, rain_in * inch_m, 10), 10, 1);
      expect(volume(flow, 10) / 100 / inch_m).toBeCloseTo(runoff_in, 2);
    }
  });

  it("brings the same water later where there is a delay, and through both ways alike", () => {
    const rain = burst(20_000, 0.01, 60);
    const late = answerRain({ ...plain, delay_s: 930, slowShare: 0.3 }, rain, 60, 1);
    expect(volume(late, 60)).toBeCloseTo(1, 5);
    expect(late.findIndex((q) => q > 0)).toBe(15);
  });
});
