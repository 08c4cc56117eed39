import { describe, expect, it } from "vitest";
import { medianInPlace, medianOfFive, medianOfThree } from "../../../analysis/statistics/median.ts";
import * as fc from "../../at-random.ts";

describe("medianInPlace", () => {
  it("is the middle value of an odd count", () => {
    expect(medianInPlace([5, 1, 4])).toBe(4);
    expect(medianInPlace([7])).toBe(7);
    expect(medianInPlace(Float64Array.of(2, 9, 2, 2, 8))).toBe(2);
  });

  it("is the upper of the two middle values of an even count", () => {
    expect(medianInPlace([1, 2, 3, 4])).toBe(3);
  });

  it("looks no further than the count it is given", () => {
    expect(medianInPlace([3, 1, 2, 1000, 1000], 3)).toBe(2);
  });

  it("is not a number when there is nothing", () => {
    expect(medianInPlace([])).toBeNaN();
    expect(medianInPlace([1, 2], 0)).toBeNaN();
  });

  it("agrees with sorting, and loses no value", () => {
    // A zero without sign: sorting and selecting may leave 0 and −0 in either order.
    const value = fc.oneof(fc.double({ noNaN: true }), fc.integer({ min: 0, max: 3 })).map((one) => one + 0);
    const values = fc.array(value, { minLength: 1 });
    fc.assert(
      fc.property(values, (list) => {
        const sorted = [...list].sort((a, b) => a - b);
        const own = [...list];
        expect(medianInPlace(own)).toBe(sorted[list.length >> 1]);
        expect(own.sort((a, b) => a - b)).toEqual(sorted);
      }),
    );
  });

  it("agrees with sorting among hundreds of values, alike, far apart or without end", () => {
    const value = fc.oneof(
      { weight: 30, arbitrary: fc.double({ min: -1, max: 1, noNaN: true }) },
      { weight: 10, arbitrary: fc.integer({ min: 0, max: 3 }) },
      { weight: 1, arbitrary: fc.constantFrom(1e300, Number.POSITIVE_INFINITY, Number.MIN_VALUE) },
    );
    const values = fc.array(
      value.map((one) => one + 0),
      { minLength: 150, maxLength: 600, size: "max" },
    );
    fc.assert(
      fc.property(values, (list) => {
        const sorted = Float64Array.from(list).sort();
        expect(medianInPlace(Float64Array.from(list))).toBe(sorted[list.length >> 1]);
      }),
      { numRuns: 50 },
    );
  });
});

describe("medianOfFive and medianOfThree", () => {
  it("are the middle one, in whatever order the numbers come", () => {
    const numbers = fc.double({ noNaN: true, noDefaultInfinity: true });
    const middle = (values: readonly number[]) => Float64Array.from(values).sort()[values.length >> 1];
    fc.assert(
      fc.property(numbers, numbers, numbers, numbers, numbers, (a, b, c, d, e) => {
        expect(medianOfFive(a, b, c, d, e) === middle([a, b, c, d, e])).toBe(true);
        expect(medianOfThree(a, b, c) === middle([a, b, c])).toBe(true);
      }),
    );
  });
});
