import { expect, it } from "vitest";
import { robustMean } from "../../../analysis/statistics/robust-mean.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

it("is the mean of values alike, known by so much better as there are more of them (GUM 4.2.3)", () => {
  const { mean, uMean } = robustMean([1, 2, 3, 4], [3, 3, 3, 3]);
  expect(mean).toBeCloseTo(2.5, 12);
  // Each counts as known no better than to a third more of what is usual among them.
  expect(uMean).toBeCloseTo((3 * Math.sqrt(1 + 1 / 9)) / 2, 12);
});

it("counts what is known better for more", () => {
  const { mean } = robustMean([0, 0, 0, 1], [0.1, 0.1, 0.1, 1]);
  expect(mean).toBeGreaterThan(0);
  expect(mean).toBeLessThan(0.01);
});

it("is hardly moved by one that is odd, and no surer than the values' scatter", () => {
  const random = seededRandom(7);
  const values = Array.from({ length: 30 }, () => 5 + random.normal(0.1));
  const plain = robustMean(
    values,
    values.map(() => 0.1),
  );
  const withOdd = robustMean(
    [...values, 50],
    [...values, 50].map(() => 0.1),
  );
  expect(Math.abs(plain.mean - 5)).toBeLessThan(0.06);
  expect(Math.abs(withOdd.mean - plain.mean)).toBeLessThan(0.01);
  const tooSure = robustMean(
    values,
    values.map(() => 0.01),
  );
  expect(tooSure.uMean / plain.uMean).toBeGreaterThan(0.6);
});
