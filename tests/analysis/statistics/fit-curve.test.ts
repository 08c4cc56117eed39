import { describe, expect, it } from "vitest";
import { fitCurve } from "../../../analysis/statistics/fit-curve.ts";
import { fitLine } from "../../../analysis/statistics/fit-line.ts";
import { fitPolynomial, orthogonalAt } from "../../../analysis/statistics/orthogonal-polynomial.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import * as fc from "../../at-random.ts";
import { curveSamples, everySecond } from "./curve-samples.ts";

describe("fitCurve", () => {
  it("recovers any polynomial up to the third degree that has no noise, wherever its samples stand", () => {
    const coefficient = fc.double({ min: -10, max: 10, noNaN: true });
    const steps = fc.array(fc.double({ min: 0.5, max: 5, noNaN: true }), { minLength: 6, maxLength: 40 });
    fc.assert(
      fc.property(fc.tuple(coefficient, coefficient, coefficient, coefficient), steps, ([a, b, c, d], increments) => {
        let time = 0;
        const t = increments.map((step) => {
          time += step;
          return time;
        });
        const scale = time;
        const curve = (x: number) => a + (b * x) / scale + c * (x / scale) ** 2 + d * (x / scale) ** 3;
        const fit = fitCurve(curveSamples(t, curve), 3);
        expect(fit?.valueAt(time / 3)).toBeCloseTo(curve(time / 3), 8);
        expect(fit?.valueAt(0)).toBeCloseTo(curve(0), 6);
        expect(fit?.residualSquares).toBeLessThan(1e-15);
        const mean = (curve(time) - curve(0)) / time;
        expect(((fit?.meanSlope(0, time).slope ?? Number.NaN) - mean) * time).toBeCloseTo(0, 6);
      }),
      { numRuns: 50 },
    );
  });

  it("gives a line the slope variance of least squares, 12σ² / (Δ²·N·(N² − 1)) for equal steps", () => {
    for (const [count, step_s] of [
      [10, 1],
      [600, 1],
      [31, 60],
    ] as const) {
      const fit = fitCurve(
        curveSamples(everySecond(count, step_s), (t) => 3 * t),
        1,
      );
      const expected = 12 / (step_s ** 2 * count * (count ** 2 - 1));
      expect((fit?.meanSlope(0, count * step_s).variance ?? 0) / expected).toBeCloseTo(1, 12);
    }
  });

  it("agrees with the straight line of fitLine on noisy samples", () => {
    const random = seededRandom(2);
    const t = everySecond(50, 3);
    const samples = curveSamples(t, (x) => 1 + 0.2 * x + random.normal(1));
    const line = fitLine(t, [...samples.y]);
    const fit = fitCurve(samples, 1);
    expect(fit?.meanSlope(10, 20).slope).toBeCloseTo(line.slope, 12);
    expect(fit?.valueAt(0)).toBeCloseTo(line.intercept, 10);
    expect(Math.sqrt((fit?.residualSquares ?? 0) / 48)).toBeCloseTo(line.residualSd, 12);
  });

  it("gives a parabola's value at the middle, its bend, and the bend's ratio to its deviation, by hand", () => {
    // y = t² at −2 … 2: the orthogonal parabola is t² − 2 with squared norm 14; its coefficient 1 over 1/√14.
    const fit = fitCurve(
      curveSamples([-2, -1, 0, 1, 2], (t) => t * t),
      2,
    );
    expect(fit?.valueAt(0)).toBeCloseTo(0, 12);
    expect(fit?.topRatio).toBeCloseTo(Math.sqrt(14), 12);
    // Mean slope of t² from 0 to 2 is 2; over ±2 it is 0, and there its variance is that of the line, 1/10.
    expect(fit?.meanSlope(0, 2).slope).toBeCloseTo(2, 12);
    expect(fit?.meanSlope(-2, 2)).toEqual({
      slope: expect.closeTo(0, 12),
      variance: expect.closeTo(0.1, 12),
    });
    // From 0 to 2 the line changes by 2 and the parabola by 4: (2²/10 + 4²/14) / 2².
    expect(fit?.meanSlope(0, 2).variance).toBeCloseTo((4 / 10 + 16 / 14) / 4, 12);
  });

  it("states the variance of a mean slope that repeated noise shows", () => {
    const random = seededRandom(11);
    const t = everySecond(40);
    const slopes = Array.from({ length: 1500 }, () => {
      const fit = fitCurve(
        curveSamples(t, () => random.normal(1)),
        3,
        (x) => Math.exp(-x / 4),
      );
      return fit?.meanSlope(5, 30).slope ?? Number.NaN;
    });
    const stated = fitCurve(
      curveSamples(t, (x) => x),
      3,
      (x) => Math.exp(-x / 4),
    )?.meanSlope(5, 30).variance;
    const seen = slopes.reduce((sum, slope) => sum + slope ** 2, 0) / slopes.length;
    // A variance from 1500 draws is known to √(2/1500) = 3.7 %; four of those are allowed.
    expect(Math.abs(seen / (stated ?? 0) - 1)).toBeLessThan(0.15);
  });

  it("counts a sample of weight 4 like four samples at its place", () => {
    const single = curveSamples([0, 1, 1, 1, 1, 2, 3, 5], (t, i) => t + (i % 3));
    const merged = curveSamples([0, 1, 2, 3, 5], (t) => t);
    const mean = ((single.y[1] ?? 0) + (single.y[2] ?? 0) + (single.y[3] ?? 0) + (single.y[4] ?? 0)) / 4;
    merged.y.set([single.y[0] ?? 0, mean, single.y[5] ?? 0, single.y[6] ?? 0, single.y[7] ?? 0]);
    merged.weight[1] = 4;
    const a = fitCurve(single, 2)?.meanSlope(0, 5);
    const b = fitCurve(merged, 2)?.meanSlope(0, 5);
    expect(b?.slope).toBeCloseTo(a?.slope ?? Number.NaN, 12);
    expect(b?.variance).toBeCloseTo(a?.variance ?? Number.NaN, 12);
  });

  it("leaves a sample without weight out", () => {
    const samples = curveSamples(everySecond(10), (t) => (t === 4 ? 1e6 : 2 * t));
    samples.weight[4] = 0;
    expect(fitCurve(samples, 1)?.meanSlope(0, 9).slope).toBeCloseTo(2, 12);
    expect(fitCurve(samples, 1)?.count).toBe(9);
  });

  it("parts a further function from the polynomial, and leaves it out of the slope", () => {
    const fade = (t: number) => Math.exp(-t / 5);
    const fit = fitCurve(
      curveSamples(everySecond(60), (t) => 10 + 0.5 * t - 3 * fade(t)),
      1,
      fade,
    );
    expect(fit?.extraCoefficient).toBeCloseTo(-3, 10);
    expect(fit?.meanSlope(0, 60).slope).toBeCloseTo(0.5, 10);
    expect(fit?.valueAt(0)).toBeCloseTo(7, 10);
    expect(fit?.size).toBe(3);
  });

  it("has no answer with too few samples, at too few times, or for a function that says nothing new", () => {
    expect(
      fitCurve(
        curveSamples([0, 1], (t) => t),
        2,
      ),
    ).toBeUndefined();
    expect(
      fitCurve(
        curveSamples([3, 3, 3, 3], (t) => t),
        1,
      ),
    ).toBeUndefined();
    expect(
      fitCurve(
        curveSamples([1, 1, 2, 2], (t) => t),
        2,
      ),
    ).toBeUndefined();
    expect(
      fitCurve(
        curveSamples(everySecond(9), (t) => t),
        2,
        (t) => t * t - 3,
      ),
    ).toBeUndefined();
    const weightless = curveSamples(everySecond(9), (t) => t);
    weightless.weight.fill(0, 1);
    expect(fitCurve(weightless, 1)).toBeUndefined();
  });
});

describe("fitPolynomial", () => {
  it("makes functions that are orthogonal over the samples and their weights", () => {
    const random = seededRandom(4);
    let time = 0;
    const samples = curveSamples(
      everySecond(200).map(() => {
        time += 0.1 + 3 * random.uniform();
        return time;
      }),
      () => random.normal(1),
    );
    for (let i = 0; i < samples.count; i++) samples.weight[i] = random.uniform();
    const polynomial = fitPolynomial(samples, 3);
    if (polynomial === undefined) throw new Error("no fit");
    const columns = polynomial.norms.map((_, k) => samples.t.map((t) => orthogonalAt(polynomial, k, t)));
    expect(columns).toHaveLength(4);
    const residual = samples.y.map((y, i) =>
      columns.reduce((left, column, k) => left - (polynomial.orthogonal[k] ?? 0) * (column[i] ?? 0), y),
    );
    const product = (a: Float64Array, b: Float64Array) =>
      a.reduce((sum, value, i) => sum + (samples.weight[i] ?? 0) * value * (b[i] ?? 0), 0);
    for (const [j, a] of columns.entries()) {
      expect(polynomial.norms[j]).toBeCloseTo(product(a, a), 10);
      for (const b of columns.slice(j + 1)) expect(Math.abs(product(a, b))).toBeLessThan(1e-11);
      expect(Math.abs(product(a, residual))).toBeLessThan(1e-11);
    }
  });
});
