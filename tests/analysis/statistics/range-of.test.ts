import { expect, it } from "vitest";
import { rangeOf } from "../../../analysis/statistics/range-of.ts";

it("is between the lowest and the highest of those that count", () => {
  expect(rangeOf(Float64Array.of(3, -1, 2, 50), 3)).toBe(4);
  expect(rangeOf(Float64Array.of(3), 1)).toBe(0);
  expect(rangeOf(new Float64Array(0), 0)).toBe(0);
});
