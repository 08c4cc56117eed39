import { describe, expect, it } from "vitest";
import { uRiseOfSteps } from "../../../analysis/statistics/staircase.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

/** Root mean square error of the fitted rise, in steps, of lines whose readings are rounded. */
function measured(perSample: number, samples: number, noise: number, trials = 500): number {
  const random = seededRandom(7);
  const middle = (samples - 1) / 2;
  let squares = 0;
  for (let trial = 0; trial < trials; trial += 1) {
    const begins = random.uniform();
    let product = 0;
    let square = 0;
    for (let i = 0; i < samples; i += 1) {
      const exact = begins + perSample * i;
      product += (i - middle) * (Math.round(exact + random.normal(noise)) - exact);
      square += (i - middle) ** 2;
    }
    squares += ((product / square) * (samples - 1)) ** 2;
  }
  return Math.sqrt(squares / trials);
}

describe("uRiseOfSteps", () => {
  it("is what noise and rounding give together where noise blurs the steps: √(12·(σ² + 1/12)/N)", () => {
    expect(uRiseOfSteps(30, 100, 1)).toBeCloseTo(Math.sqrt((12 * (1 + 1 / 12)) / 100), 2);
  });

  it("holds for lines that cross the steps at every phase, with little noise and with some", () => {
    for (const noise of [0, 0.1, 0.2, 0.35]) {
      const ratio = uRiseOfSteps(0.31 * 24, 25, noise) / measured(0.31, 25, noise);
      expect(ratio).toBeGreaterThan(0.8);
      expect(ratio).toBeLessThan(1.35);
    }
  });

  it("knows a line that keeps in time with the steps to half a step or so, however little its readings scatter", () => {
    for (const perSample of [1, 2, 2.05]) expect(uRiseOfSteps(perSample * 9, 10, 0)).toBeGreaterThan(0.4);
    expect(uRiseOfSteps(18, 10, 0)).toBeLessThan(0.7);
  });

  it("knows a slow rise over many steps to a small part of one, which no count of independent readings would give", () => {
    const slow = uRiseOfSteps(0.05 * 799, 800, 0);
    expect(slow / measured(0.05, 800, 0)).toBeGreaterThan(0.7);
    expect(slow / measured(0.05, 800, 0)).toBeLessThan(1.5);
    expect(slow).toBeLessThan(0.03);
  });

  it("knows nothing of one sample", () => {
    expect(uRiseOfSteps(1, 1, 0)).toBe(Number.POSITIVE_INFINITY);
  });
});
