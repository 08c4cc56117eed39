import { expect, it } from "vitest";
import { partOfSamples, samplesWithin } from "../../../analysis/statistics/part-of-samples.ts";

const samples = {
  t: Float64Array.of(0, 10, 20, 30, 99),
  y: Float64Array.of(1, 2, 3, 4, 99),
  weight: Float64Array.of(1, 1, 1, 1, 1),
  // The last place is not in use.
  count: 4,
};

it("takes those in a row, and goes no farther than there are any", () => {
  expect([...partOfSamples(samples, 1, 3).y]).toEqual([2, 3]);
  expect([...partOfSamples(samples, 2).t]).toEqual([20, 30]);
  expect(partOfSamples(samples, 4).count).toBe(0);
});

it("takes those of a time, both its ends included", () => {
  expect([...samplesWithin(samples, 10, 20).t]).toEqual([10, 20]);
  expect([...samplesWithin(samples, 11).t]).toEqual([20, 30]);
  expect(samplesWithin(samples, 31, 98).count).toBe(0);
});

it("shares the memory of the whole", () => {
  const whole = { ...samples, weight: samples.weight.slice() };
  partOfSamples(whole, 1, 2).weight.fill(0);
  expect([...whole.weight]).toEqual([1, 0, 1, 1, 1]);
});
