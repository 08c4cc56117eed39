import { describe, expect, it } from "vitest";
import { powerByDegree } from "../../../analysis/statistics/power-by-degree.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

const count = 130;
/** At uneven times, of uneven weight, some of none. */
const t = Float64Array.from({ length: count }, (_, i) => i + 0.4 * Math.sin(i));
const weight = Float64Array.from({ length: count }, (_, i) => (i % 40 === 7 ? 0 : 1 + (i % 3)));
const samples = { t, y: t, weight, count };

describe("powerByDegree", () => {
  it("finds nothing above the degree of a polynomial, and something at it", () => {
    const residual = t.map((time) => (time / 65 - 1) ** 5);
    const { squares = [] } = powerByDegree(samples, residual, 4, 9) ?? {};
    expect(squares[1]).toBeGreaterThan(0.1);
    expect(squares.slice(2).every((square) => square < 1e-20)).toBe(true);
  });

  it("comes to the residuals' weighted sum of squares over the degrees that a smooth course takes (Parseval)", () => {
    const residual = t.map((time) => (time / 65 - 1) ** 3 + Math.sin(time / 9));
    const total = residual.reduce((sum, r, i) => sum + (weight[i] ?? 0) * r * r, 0);
    const sum = powerByDegree(samples, residual, 0, 50)?.squares.reduce((all, square) => all + square, 0);
    expect((sum ?? Number.NaN) / total).toBeCloseTo(1, 9);
  });

  it("spreads independent errors evenly: each degree has the variance of one (mean of 200 draws)", () => {
    const random = seededRandom(1);
    const mean = new Float64Array(17);
    const draws = 200;
    const alike = { ...samples, weight: new Float64Array(count).fill(1) };
    for (let draw = 0; draw < draws; draw += 1) {
      const residual = t.map(() => random.normal(2));
      powerByDegree(alike, residual, 4, 20)?.squares.forEach((square, k) => {
        mean[k] = (mean[k] ?? 0) + square / draws;
      });
    }
    // A mean of 200 squares of normal values of variance 4 scatters by 4·√(2/200) = 0.4.
    for (const power of mean) expect(Math.abs(power - 4)).toBeLessThan(1.6);
  });

  it("is null for too few samples, or all at one time", () => {
    expect(powerByDegree({ ...samples, count: 100 }, t, 4, 20)).toBeNull();
    expect(powerByDegree({ ...samples, t: new Float64Array(count) }, t, 4, 20)).toBeNull();
  });
});
