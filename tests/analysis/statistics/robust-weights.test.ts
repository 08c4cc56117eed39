import { describe, expect, it } from "vitest";
import type { CurveFit } from "../../../analysis/statistics/fit-curve.ts";
import { rejectOutliers } from "../../../analysis/statistics/robust-weights.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { curveSamples, everySecond } from "./curve-samples.ts";

const level: Pick<CurveFit, "leave"> = {
  leave: ({ y, count }, from, left) => left.set(y.subarray(from, count), from),
};

describe("rejectOutliers", () => {
  it("takes its deviation from the median: 1.4826 times the middle one, by hand", () => {
    // |y| = 1 1 2 2 2 3 3: median 2; a quarter of the root mean square, √(32/7)/4 = 0.53, is less.
    const samples = curveSamples(everySecond(7), (_, i) => [1, -1, 2, -2, 2, 3, -3][i] ?? 0);
    expect(rejectOutliers(samples, level)).toBeCloseTo(1.4826 * 2, 12);
    expect([...samples.weight]).toEqual([1, 1, 1, 1, 1, 1, 1]);
  });

  it("takes its weight from a sample that stands off by more than four deviations, and from no other", () => {
    const samples = curveSamples(everySecond(9), (_, i) => [1, -1, 1, -1, 1, -1, 1, 5.93, 5.94][i] ?? 0);
    // Median 1, so that four deviations are 5.9304.
    expect(rejectOutliers(samples, level)).toBeCloseTo(1.4826, 12);
    expect([...samples.weight]).toEqual([1, 1, 1, 1, 1, 1, 1, 1, 0]);
  });

  it("measures a sample of weight 4 with half the yardstick", () => {
    const samples = curveSamples(everySecond(9), (_, i) => (i === 8 ? 3.1 : i % 2 === 0 ? 1 : -1));
    samples.weight[8] = 4;
    rejectOutliers(samples, level);
    expect(samples.weight[8]).toBe(0);
  });

  it("keeps the good samples of a coarse sensor, most of which stand exactly on the curve", () => {
    const samples = curveSamples(everySecond(100), (_, i) => (i % 4 === 0 ? 0.005 : 0));
    // The median is 0; a quarter of the root mean square, 0.0025 / 4, counts instead: four of it are 2.5 mm.
    expect(rejectOutliers(samples, level)).toBeCloseTo(0.000625, 12);
    expect(samples.weight[1]).toBe(1);
  });

  it("takes every spike out of normal noise at the first look, and finds its deviation at the second", () => {
    const random = seededRandom(5);
    const samples = curveSamples(everySecond(2000), (_, i) => random.normal(0.0015) + (i % 50 === 0 ? 0.05 : 0));
    expect(rejectOutliers(samples, level)).toBeLessThan(0.002);
    expect(samples.weight.filter((w) => w === 0).length).toBe(40);
    expect(rejectOutliers(samples, level)).toBeCloseTo(0.0015, 4);
  });

  it("leaves samples before the given one, and those without weight, as they are", () => {
    const samples = curveSamples(everySecond(20), (_, i) => (i === 2 || i === 15 ? 100 : i % 2));
    samples.weight[5] = 0;
    rejectOutliers(samples, level, 10);
    expect(samples.weight[2]).toBe(1);
    expect(samples.weight[5]).toBe(0);
    expect(samples.weight[15]).toBe(0);
  });

  it("keeps outliers that run on to an end as water does that pours in: two over the last, or under the first", () => {
    const weightsOf = (off: (i: number) => number) => {
      const samples = curveSamples(everySecond(60), (_, i) => off(i) * 30 + (i % 2 === 0 ? 1 : -1));
      rejectOutliers(samples, level);
      return samples.weight;
    };
    expect(weightsOf((i) => (i >= 58 ? 1 : 0)).slice(58)).toEqual(new Float64Array(2).fill(1));
    expect(weightsOf((i) => (i >= 59 ? 1 : 0)).slice(59)).toEqual(new Float64Array(1));
    expect(weightsOf((i) => (i >= 57 ? -1 : 0)).slice(57)).toEqual(new Float64Array(3));
    expect(weightsOf((i) => (i < 3 ? -1 : 0)).slice(0, 3)).toEqual(new Float64Array(3).fill(1));
    // What a sensor says again of the run before.
    expect(weightsOf((i) => (i < 3 ? 1 : 0)).slice(0, 3)).toEqual(new Float64Array(3));
    expect(weightsOf((i) => (i >= 45 && i < 54 ? 1 : 0)).slice(45, 54)).toEqual(new Float64Array(9));
  });

  it("keeps five outliers or more that run on to the last sample: there the course itself has turned", () => {
    const samples = curveSamples(everySecond(60), (_, i) => (i >= 55 ? -30 : i % 2 === 0 ? 1 : -1));
    rejectOutliers(samples, level);
    expect(samples.weight.slice(55)).toEqual(new Float64Array(5).fill(1));
  });

  it("rejects nothing among fewer than four samples, and knows no deviation of none", () => {
    const three = curveSamples(everySecond(3), (_, i) => (i === 2 ? 6 : 0));
    expect(rejectOutliers(three, level)).toBeCloseTo(Math.sqrt(12), 12);
    expect([...three.weight]).toEqual([1, 1, 1]);
    expect(
      rejectOutliers(
        curveSamples([], () => 0),
        level,
      ),
    ).toBeNaN();
  });
});
