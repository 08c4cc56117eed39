import { describe, expect, it } from "vitest";
import { shareOfBends, uBend_m3s } from "../../../../analysis/inflow/rest/share-of-bends.ts";
import { flow } from "../../findings/view.ts";

/** A rest of 400 s whose quarters have these flows, each so unsure; the mean is half as unsure. */
function rest(quarters: readonly number[], u: number) {
  const mean = quarters.reduce((sum, quarter) => sum + quarter, 0) / quarters.length;
  return {
    seenFrom_s: 0,
    seenTo_s: 400,
    inflow: { ...flow(mean), uFlow_m3s: u / 2 },
    inflowOver: (from_s: number) => ({ ...flow(quarters[Math.round(from_s / 100)] ?? Number.NaN), uFlow_m3s: u }),
  };
}

describe("shareOfBends", () => {
  it("believes none that noise explains", () => {
    expect(shareOfBends(rest([8, 8.1, 7.9, 8], 0.1))).toBe(0);
    expect(shareOfBends(rest([8, 8.2, 7.9, 7.9], 0.1))).toBe(0);
  });

  it("believes those that stand clear of it: 1 − 3 Σ noise² / Σ bend²", () => {
    // Bends ±3 and ±1, squares 20; noise of four quarters 4 · (0.01 − 0.0025).
    expect(shareOfBends(rest([5, 7, 9, 11], 0.1))).toBeCloseTo(1 - (3 * 4 * 0.0075) / 20, 12);
  });

  it("leaves a straight rest as it is", () => {
    expect(shareOfBends(rest([8, 8, 8, 8], 0.1))).toBe(1);
  });
});

describe("uBend_m3s", () => {
  it("is most where half of a bend is believed, and nothing where none or all of it is", () => {
    expect(uBend_m3s(0.5, -2)).toBe(1);
    expect(uBend_m3s(0, 2)).toBe(0);
    expect(uBend_m3s(1, 2)).toBe(0);
  });
});
