import { describe, expect, it } from "vitest";
import { frictionFactor } from "../../../analysis/hydraulics/friction-factor.ts";
import * as fc from "../../at-random.ts";

const roughness = fc.double({ min: 0, max: 0.05, noNaN: true });

describe("frictionFactor", () => {
  it("is 64/Re while the flow is laminar, however rough the pipe", () => {
    expect(frictionFactor(500, 0)).toBe(0.128);
    expect(frictionFactor(2000, 0.05)).toBe(0.032);
  });

  it("solves Colebrook–White to the last digits", () => {
    const reynolds = fc.double({ min: 4000, max: 1e9, noNaN: true });
    fc.assert(
      fc.property(reynolds, roughness, (re, rough) => {
        const x = 1 / Math.sqrt(frictionFactor(re, rough));
        expect(Math.abs(x + 2 * Math.log10(rough / 3.7 + (2.51 * x) / re))).toBeLessThan(2e-14 * x);
      }),
    );
  });

  it("goes from laminar to turbulent without a step or a kink", () => {
    const slopeAt = (re: number, rough: number, side: number) =>
      (frictionFactor(re + side, rough) - frictionFactor(re, rough)) / side;
    for (const rough of [0, 3.7e-5, 0.001, 0.05]) {
      for (const re of [2000, 4000]) {
        expect(Math.abs(frictionFactor(re + 1e-6, rough) - frictionFactor(re - 1e-6, rough))).toBeLessThan(1e-10);
        expect(slopeAt(re, rough, 0.1)).toBeCloseTo(slopeAt(re, rough, -0.1), 7);
      }
    }
  });

  it("never makes more flow cost less head: f·Re² rises", () => {
    const reynolds = fc.double({ min: 1, max: 1e7, noNaN: true });
    fc.assert(
      fc.property(reynolds, roughness, (re, rough) => {
        expect(frictionFactor(re * 1.001, rough) * 1.001 ** 2).toBeGreaterThan(frictionFactor(re, rough));
      }),
    );
  });

  it("says what it cannot take", () => {
    expect(() => frictionFactor(0, 0)).toThrow("Re is 0");
    expect(() => frictionFactor(1e5, -0.01)).toThrow("relative roughness is -0.01");
  });
});
