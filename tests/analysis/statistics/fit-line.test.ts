import { describe, expect, it } from "vitest";
import { fitLine } from "../../../analysis/statistics/fit-line.ts";
import * as fc from "../../at-random.ts";

describe("fitLine", () => {
  it("finds the line and its uncertainties, by hand for three points", () => {
    // (0, 0), (1, 2), (2, 1): means 1 and 1, Sxx 2, Sxy 1, residuals −½ 1 −½.
    const line = fitLine([0, 1, 2], [0, 2, 1]);
    expect(line.slope).toBeCloseTo(0.5, 14);
    expect(line.intercept).toBeCloseTo(0.5, 14);
    expect(line.residualSd).toBeCloseTo(Math.sqrt(1.5), 14);
    expect(line.uSlope).toBeCloseTo(Math.sqrt(0.75), 14);
    expect(line.uIntercept).toBeCloseTo(Math.sqrt(1.25), 14);
    expect(line.correlation).toBeCloseTo(-Math.sqrt(0.6), 14);
    expect(line.degreesOfFreedom).toBe(1);
  });

  it("keeps its digits on times counted since 1970", () => {
    const time_s = [0, 1, 2, 3, 4, 5].map((t) => 1_772_000_000 + t);
    const level_m = [0, 1, 2, 3, 4, 5].map((t) => 0.2 + 0.0005 * t);
    const { slope, uSlope } = fitLine(time_s, level_m);
    expect(slope / 0.0005).toBeCloseTo(1, 11);
    expect(uSlope).toBeLessThan(1e-14);
  });

  it("recovers any line that has no noise, wherever its points lie", () => {
    const number = fc.double({ min: -1e3, max: 1e3, noNaN: true });
    const steps = fc.array(fc.double({ min: 0.1, max: 10, noNaN: true }), { minLength: 3, maxLength: 30 });
    fc.assert(
      fc.property(number, number, number, steps, (slope, intercept, start, increments) => {
        let x = start;
        const xs = increments.map((step) => {
          x += step;
          return x;
        });
        const line = fitLine(
          xs,
          xs.map((value) => intercept + slope * value),
        );
        expect(line.slope).toBeCloseTo(slope, 6);
        expect(Math.abs(line.correlation)).toBeLessThanOrEqual(1);
      }),
    );
  });

  it("says what it cannot fit", () => {
    expect(() => fitLine([1, 2], [1, 2])).toThrow("need 3 pairs or more, got 2 x and 2 y");
    expect(() => fitLine([1, 2, 3], [1, 2])).toThrow("got 3 x and 2 y");
    expect(() => fitLine([1, Number.NaN, 3], [1, 2, 3])).toThrow("x[1] is NaN");
    expect(() => fitLine([1, 2, 3], [1, 2, Number.POSITIVE_INFINITY])).toThrow("y[2] is Infinity");
    expect(() => fitLine([2, 2, 2], [1, 2, 3])).toThrow("all 3 x are 2");
  });
});
