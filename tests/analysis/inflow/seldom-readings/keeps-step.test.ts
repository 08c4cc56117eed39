import { describe, expect, it } from "vitest";
import { keepsStep, timesThroughCycle, uShareInStep } from "../../../../analysis/inflow/seldom-readings/keeps-step.ts";

describe("cycles that keep step with the readings", () => {
  // 30 L between the floats, 2 L/s out, half of that in: 30 s of rest and 30 s of run.
  const through = (interval_s: number, share = 0.5) =>
    timesThroughCycle(share, 0.03, 2e-3, 24 * interval_s, interval_s);

  it("are those that last as long as one interval, or a half of it", () => {
    expect(keepsStep(through(60))).toBe(true);
    expect(keepsStep(through(120))).toBe(true);
    expect(keepsStep(through(90))).toBe(false);
  });

  it("are none that go by once and more while they are looked at: the pump's runs are among those seen then", () => {
    // 24 intervals of 61 s go through 0.4 cycles more than 24, of 63 s through 1.2.
    expect(keepsStep(through(61))).toBe(true);
    expect(keepsStep(through(63))).toBe(false);
  });

  it("are none that last for many, nor is what hardly comes in or nearly fills the pump", () => {
    expect(keepsStep(through(20))).toBe(false);
    expect(keepsStep(through(60, 0.01))).toBe(false);
    expect(keepsStep(through(60, 0.99))).toBe(false);
  });

  // s (1 − s) is 3 % less than a quarter where s is off a half by √0.03 / 2.
  it("hide what comes in about half the pump's flow, where their length hardly changes", () => {
    expect(uShareInStep(0.5, 0)).toBeCloseTo(Math.sqrt(0.03) / 2, 6);
    expect(uShareInStep(0.2, 0)).toBeLessThan(0.01);
    expect(uShareInStep(0.5, 10)).toBeLessThan(0.005);
  });

  it("hide whether more or less than half of it comes in, where that is little more or less", () => {
    expect(uShareInStep(0.42, 0)).toBeGreaterThan(0.16 / Math.sqrt(3));
    expect(uShareInStep(0.42, 0)).toBeCloseTo(uShareInStep(0.58, 0), 9);
  });
});
