import { describe, expect, it } from "vitest";
import { fitRecession, masterRecession } from "../../../analysis/storms/recession.ts";
import { randomOf } from "../../truth/random.ts";

describe("fitRecession", () => {
  const time_s = Array.from({ length: 40 }, (_, i) => i * 300);

  it("holds the true constant within its stated uncertainty in 19 of 20 noisy recessions", () => {
    let inside = 0;
    for (let seed = 0; seed < 100; seed += 1) {
      const random = randomOf("recession", seed);
      const flow_m3s = time_s.map((t) => 2e-4 * Math.exp(-t / 5400) + 2e-6 * random.normal());
      const fit = fitRecession({ time_s, flow_m3s, uFlow_m3s: 2e-6, uBase_m3s: 0 });
      if (fit !== null && Math.abs(fit.constant_s - 5400) < 2 * fit.uConstant_s) inside += 1;
    }
    expect(inside).toBeGreaterThanOrEqual(90);
  });

  it("is less sure where the base is", () => {
    const flow_m3s = time_s.map((t) => 2e-4 * Math.exp(-t / 5400));
    const sure = fitRecession({ time_s, flow_m3s, uFlow_m3s: 1e-6, uBase_m3s: 0 });
    const unsure = fitRecession({ time_s, flow_m3s, uFlow_m3s: 1e-6, uBase_m3s: 1e-5 });
    expect(unsure?.uConstant_s).toBeGreaterThan(3 * (sure?.uConstant_s ?? 0));
  });

  it("finds none in a flow that rises, nor in three points", () => {
    const rising = { time_s: [0, 1, 2, 3, 4], flow_m3s: [1, 2, 3, 4, 5], uFlow_m3s: 0, uBase_m3s: 0 };
    expect(fitRecession(rising)).toBeNull();
    expect(fitRecession({ ...rising, time_s: [0, 1, 2], flow_m3s: [3, 2, 1] })).toBeNull();
  });
});

describe("masterRecession", () => {
  it("lies between the storms and is no surer than their differences allow", () => {
    const one = (constant_s: number) => ({ constant_s, uConstant_s: 10, points: 20 });
    const master = masterRecession([one(3000), one(3600), one(4400)]);
    expect(master?.constant_s).toBeCloseTo((3000 * 3600 * 4400) ** (1 / 3), -1);
    // Logarithms of 3000, 3600, 4400 scatter by 0.19; of three, 0.11 of their mean.
    expect((master?.uConstant_s ?? 0) / (master?.constant_s ?? 1)).toBeCloseTo(0.11, 2);
  });

  it("is one storm's own where there is one, and none where there is none", () => {
    const only = { constant_s: 3600, uConstant_s: 100, points: 9 };
    expect(masterRecession([only])).toEqual({
      constant_s: expect.closeTo(3600, 6),
      uConstant_s: expect.closeTo(100, 6),
      points: 9,
    });
    expect(masterRecession([])).toBeNull();
  });
});
