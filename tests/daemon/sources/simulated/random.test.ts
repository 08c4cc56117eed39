import { describe, expect, it } from "vitest";
import { seededRandom, xoshiro128 } from "../../../../daemon/sources/simulated/random.ts";

const many = (count: number, draw: () => number) => Array.from({ length: count }, draw);
const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

describe("xoshiro128", () => {
  it("gives the numbers worked out by hand from the state 1, 2, 3, 4", () => {
    // rotl(2·5, 7)·9, then rotl(0·5, 7)·9, then rotl(1029·5, 7)·9
    expect(many(3, xoshiro128(1, 2, 3, 4))).toEqual([11_520, 0, 5_927_040]);
  });
});

describe("seededRandom", () => {
  it("repeats itself for the same seed and stream", () => {
    const [one, two] = [seededRandom(7, 1), seededRandom(7, 1)];
    expect(many(5, one.uniform)).toEqual(many(5, two.uniform));
  });

  it("gives other numbers for another seed or another stream", () => {
    const first = seededRandom(7, 1).uniform();
    expect(seededRandom(8, 1).uniform()).not.toBe(first);
    expect(seededRandom(7, 2).uniform()).not.toBe(first);
  });

  it("spreads evenly over 0 to 1", () => {
    const values = many(20_000, seededRandom(1).uniform);
    expect(Math.min(...values)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...values)).toBeLessThan(1);
    expect(mean(values)).toBeCloseTo(0.5, 1.9); // standard error 0.002
    expect(mean(values.map((value) => (value - 0.5) ** 2))).toBeCloseTo(1 / 12, 2);
  });

  it("draws normal numbers of the standard deviation asked for", () => {
    const random = seededRandom(1);
    const values = many(20_000, () => random.normal(2));
    expect(Math.abs(mean(values))).toBeLessThan(0.06); // four standard errors
    expect(Math.sqrt(mean(values.map((value) => value * value)))).toBeCloseTo(2, 1);
    // 4.55 % of a normal distribution is beyond two standard deviations
    expect(mean(values.map((value) => Number(Math.abs(value) > 4)))).toBeCloseTo(0.0455, 2);
  });
});
