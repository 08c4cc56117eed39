import { describe, expect, it } from "vitest";
import { normalQuantile } from "../../../analysis/statistics/normal-quantile.ts";

describe("normalQuantile", () => {
  // The checks that AS 241 prints with the routine.
  it.each([
    [0.25, -0.6744897501960817],
    [0.001, -3.090232306167814],
    [1e-20, -9.26234008979841],
  ])("agrees with the printed check at %d", (probability, expected) => {
    expect(normalQuantile(probability) / expected).toBeCloseTo(1, 14);
  });

  it("is odd about one half and ends at infinity", () => {
    expect(normalQuantile(0.5)).toBe(0);
    expect(normalQuantile(0.9375)).toBe(-normalQuantile(0.0625));
    expect(normalQuantile(0)).toBe(Number.NEGATIVE_INFINITY);
    expect(normalQuantile(1)).toBe(Number.POSITIVE_INFINITY);
  });

  it("says which probability it cannot take", () => {
    expect(() => normalQuantile(-0.1)).toThrow("probability is -0.1");
  });
});
