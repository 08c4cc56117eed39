import { describe, expect, it } from "vitest";
import { scatterOf, usual, whenStill } from "../../../analysis/whatif/when-still.ts";

describe("whenStill", () => {
  const rises = Array.from({ length: 40 }, (_, i) => 1e-4 + (i % 10) * 5e-4);

  it("follows a float that is seen 0.6 s late down to still water", () => {
    const seen = rises.map((rise) => 0.35 + 0.6 * rise);
    expect(whenStill(seen, rises, 3)?.value).toBeCloseTo(0.35, 9);
  });

  it("leaves out starts after a power cut", () => {
    const seen = rises.map((rise, i) => 0.35 + 0.6 * rise + (i % 13 === 5 ? 0.2 : 1e-4 * Math.sin(7 * i)));
    expect(whenStill(seen, rises, 3)?.value).toBeCloseTo(0.35, 3);
  });

  it("draws no line through rises that are all alike", () => {
    const alike = rises.map((_, i) => 1e-4 * (1 + 0.01 * Math.sin(5 * i)));
    const seen = alike.map((rise) => 0.35 + 50 * (rise - 1e-4));
    expect(whenStill(seen, alike, 3)?.value).toBeCloseTo(0.35, 4);
  });

  it("takes nothing for later than it can be", () => {
    const seen = rises.map((rise) => 0.35 + 20 * rise);
    expect(whenStill(seen, rises, 3)?.value).toBeGreaterThan(0.35);
  });

  it("says nothing of two runs, and the middle of a few", () => {
    expect(whenStill([0.3, 0.31], [1, 1], 3)).toBeNull();
    expect(whenStill([0.3, 0.31, 0.5], [1, 1, 1], 3)?.value).toBe(0.31);
  });
});

describe("usual and scatterOf", () => {
  it("give a middle and a standard deviation that a few odd ones do not move", () => {
    expect(usual([1, 2, 3, 4, 900])).toBe(3);
    expect(scatterOf([-1, 0.5, -0.5, 1, 90])).toBeCloseTo(1.4826, 6);
  });
});
