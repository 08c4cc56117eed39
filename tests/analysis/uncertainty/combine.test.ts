import { describe, expect, it } from "vitest";
import { combinedUncertainty, effectiveDegreesOfFreedom } from "../../../analysis/uncertainty/combine.ts";
import * as fc from "../../at-random.ts";

describe("combinedUncertainty", () => {
  it("is the root of the sum of squares of what is independent: 3 and 4 make 5", () => {
    expect(combinedUncertainty([3, -4])).toBe(5);
    expect(combinedUncertainty([])).toBe(0);
  });

  it("is the plain sum of what errs alike, and the difference where the sensitivities oppose", () => {
    expect(combinedUncertainty([3, 4], () => 1)).toBe(7);
    expect(combinedUncertainty([3, -4], () => 1)).toBe(1);
    expect(combinedUncertainty([0.1, 0.2, -0.3], () => 1)).toBeCloseTo(0, 7);
  });

  it("asks for the correlation of each pair once, the smaller index first", () => {
    const asked: [number, number][] = [];
    combinedUncertainty([1, 1, 1], (i, j) => asked.push([i, j]) * 0);
    expect(asked).toEqual([
      [0, 1],
      [0, 2],
      [1, 2],
    ]);
  });
});

describe("effectiveDegreesOfFreedom", () => {
  const sure = Number.POSITIVE_INFINITY;

  it("of two like terms of 10 is 20, and of a term of 10 beside an equal one that is exactly known 40", () => {
    const ten = { u: 2e-7, degreesOfFreedom: 10 };
    expect(effectiveDegreesOfFreedom([ten, ten])).toBeCloseTo(20, 12);
    expect(effectiveDegreesOfFreedom([ten, { ...ten, degreesOfFreedom: sure }])).toBeCloseTo(40, 12);
  });

  it("is infinite when all terms are exactly known, and that of the least known when none adds anything", () => {
    expect(effectiveDegreesOfFreedom([{ u: 1, degreesOfFreedom: sure }])).toBe(sure);
    expect(effectiveDegreesOfFreedom([{ u: 0, degreesOfFreedom: 3 }])).toBe(3);
    expect(effectiveDegreesOfFreedom([])).toBe(sure);
  });

  it("lies between the fewest of any term and the sum of all", () => {
    const term = fc.record({
      u: fc.double({ min: 1e-12, max: 1, noNaN: true }),
      degreesOfFreedom: fc.nat(99).map((n) => n + 1),
    });
    fc.assert(
      fc.property(fc.array(term, { minLength: 1, maxLength: 6 }), (terms) => {
        const all = terms.map(({ degreesOfFreedom }) => degreesOfFreedom);
        const found = effectiveDegreesOfFreedom(terms);
        expect(found).toBeGreaterThanOrEqual(Math.min(...all) * (1 - 1e-9));
        expect(found).toBeLessThanOrEqual(all.reduce((sum, n) => sum + n, 0) * (1 + 1e-9));
      }),
    );
  });
});
