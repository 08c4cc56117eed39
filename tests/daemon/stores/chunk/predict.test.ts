import { describe, expect, it } from "vitest";
import { type Foretold, foretellInPlace, restoreInPlace } from "../../../../daemon/stores/chunk/predict.ts";
import * as fc from "../../../at-random.ts";

function residualsOf(numbers: Float64Array, by: Foretold): Float64Array {
  const residuals = numbers.slice();
  foretellInPlace(residuals, by);
  return residuals;
}

describe.each(["line", "step"] as const)("foretelling by %s", (by) => {
  it("restores any whole numbers", () => {
    const integer = fc.oneof(
      fc.integer({ min: -(2 ** 50), max: 2 ** 50 }),
      fc.integer({ min: -3000, max: 3000 }),
      fc.constantFrom(2 ** 50, -(2 ** 50)),
    );
    fc.assert(
      fc.property(fc.array(integer, { maxLength: 100 }), (integers) => {
        const residuals = residualsOf(Float64Array.from(integers), by);
        restoreInPlace(residuals, by);
        expect([...residuals]).toEqual(integers);
      }),
    );
  });

  it("leaves nothing of a straight line but how it begins", () => {
    const line = Float64Array.from({ length: 100 }, (_, i) => 7 * i - 40);
    expect([...residualsOf(line, by).subarray(2)].filter((one) => one !== 0)).toEqual([]);
  });
});

describe("foretelling by line", () => {
  it("takes up the new line after a bend", () => {
    const bent = Float64Array.from({ length: 200 }, (_, i) => (i < 100 ? 3 * i : 300 - 120 * (i - 100)));
    const residuals = residualsOf(bent, "line");
    expect([...residuals.subarray(105)].filter((one) => one !== 0)).toEqual([]);
  });
});
