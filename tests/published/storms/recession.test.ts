// Recession of a storm hydrograph: Colorado State University, CE322 Basic Hydrology (J. A. Ramírez), example of the
// recession constant, k = 0.249 per hour by least squares on ln Q from the break at 13 h.

import { describe, expect, it } from "vitest";
import { fitRecession } from "../../../analysis/storms/recession.ts";

const hours = [13, 14, 15, 16, 17, 18, 19, 20];
const flow_m3s = [245, 191, 149, 116, 90, 70, 55, 43];

describe("fitRecession", () => {
  it("finds the published constant of 0.249 per hour", () => {
    const recession = fitRecession({ time_s: hours.map((h) => h * 3600), flow_m3s, uFlow_m3s: 0, uBase_m3s: 0 });
    expect(3600 / (recession?.constant_s ?? 0)).toBeCloseTo(0.24911, 5);
  });

  it("is as sure of it as the eight points allow", () => {
    const recession = fitRecession({ time_s: hours.map((h) => h * 3600), flow_m3s, uFlow_m3s: 0, uBase_m3s: 0 });
    expect((recession?.uConstant_s ?? 0) / (recession?.constant_s ?? 1)).toBeLessThan(0.01);
  });

  it("finds the quick part before the break: 0.700 per hour from 10 to 13 h", () => {
    const quick = fitRecession({
      time_s: [10, 11, 12, 13].map((h) => h * 3600),
      flow_m3s: [2000, 993, 493, 245],
      uFlow_m3s: 0,
      uBase_m3s: 0,
    });
    expect(3600 / (quick?.constant_s ?? 0)).toBeCloseTo(0.6999, 4);
  });
});
