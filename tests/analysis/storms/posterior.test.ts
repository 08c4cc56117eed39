import { describe, expect, it } from "vitest";
import { findPosterior, uncertainties } from "../../../analysis/storms/posterior.ts";

describe("findPosterior", () => {
  it("weighs one direct reading of 2 ± 1 against a prior of 0 ± 1: 1, and known to 1/√2", () => {
    const found = findPosterior(([x = 0]) => Float64Array.of(x - 2), [0], 1, 20);
    // Of a single residual the scale stays near 1: four readings' worth of trust.
    expect(found.at[0]).toBeCloseTo(1, 0);
    expect(uncertainties(found)[0]).toBeCloseTo(Math.SQRT1_2, 1);
  });

  it("leaves a figure that no residual speaks of where and as wide as the prior has it", () => {
    const found = findPosterior(([x = 0]) => Float64Array.from({ length: 40 }, () => x - 0.5), [0, 0.7], 40, 20);
    expect(found.at[1]).toBeCloseTo(0, 2);
    expect(uncertainties(found)[1]).toBeCloseTo(1, 6);
    expect(found.at[0]).toBeCloseTo(0.5, 1);
  });

  it("keeps what two figures share: their sum known, their difference not", () => {
    const found = findPosterior(
      ([x = 0, y = 0]) => Float64Array.from({ length: 100 }, (_, i) => x + y - 1 + 0.1 * Math.sin(i)),
      [0, 0],
      100,
      20,
    );
    const [[a = 0] = [], [b = 0, c = 0] = []] = found.triangle;
    const ofSum = Math.hypot(a + b, c);
    const ofDifference = Math.hypot(a - b, c);
    expect(ofSum).toBeLessThan(0.2);
    expect(ofDifference).toBeGreaterThan(1.2);
  });

  it("lets one wild residual pull little", () => {
    const found = findPosterior(
      ([x = 0]) => Float64Array.of(...Array.from({ length: 20 }, () => x - 0.3), x - 50),
      [0],
      21,
      30,
    );
    expect(Math.abs((found.at[0] ?? 0) - 0.3)).toBeLessThan(0.3);
  });
});
