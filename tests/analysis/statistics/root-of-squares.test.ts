import { expect, it } from "vitest";
import { rootOfSquares } from "../../../analysis/statistics/root-of-squares.ts";

it("is the hypotenuse, whatever the signs", () => {
  expect(rootOfSquares(3, -4)).toBe(5);
  expect(rootOfSquares(0, 1e-6)).toBe(1e-6);
});
