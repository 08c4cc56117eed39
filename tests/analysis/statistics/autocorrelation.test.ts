import { describe, expect, it } from "vitest";
import { varianceInflation } from "../../../analysis/statistics/autocorrelation.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

/** A first-order autoregressive series, e_i = ρ·e_(i−1) + noise. */
function autoregressive(correlation: number, count: number, seed: number): Float64Array {
  const random = seededRandom(seed);
  const series = new Float64Array(count);
  let value = random.normal(1) / Math.sqrt(1 - correlation ** 2);
  for (let i = 0; i < count; i++) {
    series[i] = value;
    value = correlation * value + random.normal(1);
  }
  return series;
}

describe("varianceInflation", () => {
  // Summed over all lags, 1 + 2 Σ ρ^k = (1 + ρ) / (1 − ρ): 1, 1.857, 3, 9.
  it.each([
    [0, 1],
    [0.3, 13 / 7],
    [0.5, 3],
    [0.8, 9],
  ])("is (1 + ρ) / (1 − ρ) for a first-order autoregressive series: ρ = %d gives %d", (correlation, expected) => {
    const found = varianceInflation(autoregressive(correlation, 40_000, 7));
    expect(found / expected).toBeGreaterThan(0.9);
    expect(found / expected).toBeLessThan(1.1);
  });

  it("is the sum by hand for a short series", () => {
    // Four of each: lag 1 has six products of 1 and one of −1, ρ = 5/8, which is below its noise of 2/√8.
    expect(varianceInflation(Float64Array.of(1, 1, 1, 1, -1, -1, -1, -1))).toBe(1);
    // Sixteen, eight of each: lag 1 is 13/16, lag 2 10/16, lag 3 7/16 is below the noise of 2/√16 = 1/2.
    const halves = Float64Array.from({ length: 16 }, (_, i) => (i < 8 ? 1 : -1));
    expect(varianceInflation(halves)).toBeCloseTo(1 + 2 * ((13 / 16) * (15 / 16) + (10 / 16) * (14 / 16)), 12);
  });

  it("never makes a variance smaller, even where neighbours differ", () => {
    const alternating = Float64Array.from({ length: 100 }, (_, i) => (i % 2 === 0 ? 1 : -1));
    expect(varianceInflation(alternating)).toBe(1);
  });

  it("is 1 where nothing can be told: no residuals, too few, none but zeros", () => {
    expect(varianceInflation(new Float64Array(0))).toBe(1);
    expect(varianceInflation(Float64Array.of(1, 1, 1, 1, 1, 1, 1))).toBe(1);
    expect(varianceInflation(new Float64Array(100))).toBe(1);
  });

  it("looks no further than the count it is given", () => {
    const series = autoregressive(0.5, 1000, 3);
    const longer = new Float64Array(2000).fill(99);
    longer.set(series);
    expect(varianceInflation(longer, 1000)).toBe(varianceInflation(series));
  });
});
