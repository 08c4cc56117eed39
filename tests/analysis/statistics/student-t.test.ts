import { describe, expect, it } from "vitest";
import { studentTQuantile } from "../../../analysis/statistics/student-t.ts";
import * as fc from "../../at-random.ts";

describe("studentTQuantile", () => {
  it("is tan(π(p − ½)) for one degree of freedom", () => {
    for (const p of [0.01, 0.3, 0.6, 0.975, 0.9999]) {
      const cauchy = Math.tan(Math.PI * (p - 0.5));
      expect(Math.abs(studentTQuantile(p, 1) / cauchy - 1)).toBeLessThan(1e-10);
    }
  });

  it("is (2p − 1)/√(2p(1 − p)) for two degrees of freedom", () => {
    for (const p of [0.01, 0.3, 0.6, 0.975, 0.9999]) {
      expect(studentTQuantile(p, 2)).toBeCloseTo((2 * p - 1) / Math.sqrt(2 * p * (1 - p)), 9);
    }
  });

  // By mpmath's incomplete beta function, 40 digits.
  it.each([
    [0.975, 0.5, 164.5576734804885],
    [0.975, 2.5, 3.574654842003683],
    [0.975, 7.3, 2.345066736547704],
    [0.9999, 16.7, 4.736196975301247],
  ])("takes fractions of a degree of freedom: p %d, ν %d", (p, df, expected) => {
    expect(studentTQuantile(p, df) / expected).toBeCloseTo(1, 10);
  });

  it("goes over into the normal quantile without a step", () => {
    expect(studentTQuantile(0.975, Number.POSITIVE_INFINITY)).toBeCloseTo(1.959963984540054, 14);
    expect(studentTQuantile(0.975, 999.9999)).toBeCloseTo(studentTQuantile(0.975, 1000), 8);
    expect(studentTQuantile(0.975, 100 - 1e-6)).toBeCloseTo(studentTQuantile(0.975, 100), 9);
    expect(studentTQuantile(0.999, 1000 - 1e-6)).toBeCloseTo(studentTQuantile(0.999, 1000), 9);
  });

  it("is odd about one half, rises with the probability and falls with the degrees of freedom", () => {
    const probability = fc.double({ min: 0.5, max: 1 - 1e-9, noNaN: true });
    const degrees = fc.double({ min: 0.1, max: 3000, noNaN: true });
    fc.assert(
      fc.property(probability, degrees, (p, df) => {
        const t = studentTQuantile(p, df);
        expect(t).toBeGreaterThanOrEqual(0);
        expect(studentTQuantile(1 - p, df) + t).toBeCloseTo(0, 6 - Math.ceil(Math.log10(1 + t)));
        expect(studentTQuantile(p + (1 - p) / 2, df)).toBeGreaterThan(t);
        expect(studentTQuantile(p, df * 1.1)).toBeLessThanOrEqual(t + 1e-9 * (1 + t));
      }),
    );
  });

  it("gives the ends of the line for certainty, and says what it cannot take", () => {
    expect(studentTQuantile(0.5, 3)).toBe(0);
    expect(studentTQuantile(1, 3)).toBe(Number.POSITIVE_INFINITY);
    expect(studentTQuantile(0, 3)).toBe(Number.NEGATIVE_INFINITY);
    expect(() => studentTQuantile(1.2, 3)).toThrow("probability is 1.2");
    expect(() => studentTQuantile(0.9, 0)).toThrow("degrees of freedom are 0");
    expect(() => studentTQuantile(0.9, Number.NaN)).toThrow("degrees of freedom are NaN");
  });
});
