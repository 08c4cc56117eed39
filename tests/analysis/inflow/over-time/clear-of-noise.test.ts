import { describe, expect, it } from "vitest";
import { clearOfNoise } from "../../../../analysis/inflow/over-time/clear-of-noise.ts";

describe("clearOfNoise", () => {
  it("takes for noise what stands out by less than a standard uncertainty", () => {
    expect(clearOfNoise(1.4, 0.5, 1)).toBe(1);
  });

  it("leaves as it is what stands out by three or more, and what does not stand out at all", () => {
    expect(clearOfNoise(2.5, 0.5, 1)).toBe(2.5);
    expect(clearOfNoise(1.4, 0, 1)).toBe(1.4);
    expect(clearOfNoise(0.9, 0.5, 1)).toBe(0.9);
  });

  it("goes from the one to the other without a leap", () => {
    expect(clearOfNoise(1.5 + 1e-9, 0.5, 1)).toBeCloseTo(1, 8);
    expect(clearOfNoise(2, 0.5, 1)).toBeCloseTo(1.75, 12);
    expect(clearOfNoise(2.5 - 1e-9, 0.5, 1)).toBeCloseTo(2.5, 8);
  });
});
