import { describe, expect, it } from "vitest";
import { sparser } from "../../../../analysis/inflow/rest/condensed.ts";
import { fitPolynomial } from "../../../../analysis/statistics/orthogonal-polynomial.ts";

describe("sparser", () => {
  const count = 800;
  const t = Float64Array.from({ length: count }, (_, i) => 10 + i);
  const samples = { t, y: t.map((at) => 3 + 0.5 * at), weight: new Float64Array(count).fill(1), count };

  it("makes few of many, single at first and longer later, and loses no weight", () => {
    const { count: few, t: at_s, weight } = sparser(samples);
    expect(few).toBeLessThan(60);
    expect(weight[0]).toBe(1);
    expect(at_s[0]).toBe(10);
    for (let i = 0; i < few; i += 1) expect(weight[i]).toBeLessThanOrEqual(0.1 * (at_s[i] ?? 0) + 1);
    expect(weight.subarray(0, few).reduce((sum, one) => sum + one, 0)).toBe(count);
  });

  it("leaves a line where it was", () => {
    const line = fitPolynomial(sparser(samples), 1);
    expect((line?.orthogonal[1] ?? 0) / (line?.half ?? 1)).toBeCloseTo(0.5, 9);
    expect(line?.residualSquares).toBeLessThan(1e-12);
  });

  it("leaves samples that stand far apart alone, and those without weight out", () => {
    const weight = Float64Array.of(1, 0, 1);
    const { t: at_s, count: left } = sparser({
      t: Float64Array.of(15, 30, 45),
      y: new Float64Array(3),
      weight,
      count: 3,
    });
    expect([...at_s.subarray(0, left)]).toEqual([15, 45]);
  });
});
