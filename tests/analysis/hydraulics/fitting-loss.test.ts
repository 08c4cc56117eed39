import { describe, expect, it } from "vitest";
import {
  fittingLabel,
  fittingLoss,
  fittingTable,
  uLossCoefficient,
} from "../../../analysis/hydraulics/fitting-loss.ts";

describe("fittingLoss", () => {
  it("names a source beside every coefficient, which lies within what is published", () => {
    for (const { k, source, published } of Object.values(fittingTable)) {
      expect(source.length).toBeGreaterThan(10);
      expect(k).toBeGreaterThanOrEqual(published[0]);
      expect(k).toBeLessThanOrEqual(published[1]);
    }
  });

  it("has none for what depends on two bores, or is told", () => {
    for (const kind of ["reducer", "enlargement", "other"] as const) {
      expect(() => fittingLoss(kind)).toThrow(`${kind} has no coefficient of its own`);
      expect(fittingLabel(kind)).toContain(kind);
    }
  });
});

describe("uLossCoefficient", () => {
  it("is that of a uniform distribution where K is in the middle, and more where it is not", () => {
    const loss = (k: number) => ({ label: "", source: "", k, published: [1, 3] as const });
    expect(uLossCoefficient(loss(2))).toBeCloseTo(1 / Math.sqrt(3), 12);
    expect(uLossCoefficient(loss(3))).toBeCloseTo(2 / Math.sqrt(3), 12);
    expect(uLossCoefficient({ ...loss(1), published: [1, 1] })).toBe(0);
  });
});
