import { describe, expect, it } from "vitest";
import { stepOrRamp } from "../../../analysis/statistics/step-or-ramp.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

function series(count: number, at: (i: number) => number, noise = 0): number[] {
  const random = seededRandom(count);
  return Array.from({ length: count }, (_, i) => at(i) + (noise > 0 ? random.normal(noise) : 0));
}

describe("stepOrRamp", () => {
  it("finds a step where it is, and its two levels", () => {
    const found = stepOrRamp(series(20, (i) => (i < 12 ? 5 : 3)));
    expect(found).toMatchObject({ course: "step", from: 11, to: 12 });
    expect(found?.before).toBeCloseTo(5, 9);
    expect(found?.after).toBeCloseTo(3, 9);
  });

  it("finds a ramp between two level stretches", () => {
    const found = stepOrRamp(series(40, (i) => (i <= 10 ? 1 : i >= 30 ? 0 : 1 - (i - 10) / 20)));
    expect(found).toMatchObject({ course: "ramp", from: 10, to: 30 });
    expect(found?.before).toBeCloseTo(1, 9);
    expect(found?.after).toBeCloseTo(0, 9);
  });

  it("finds a ramp that still goes on", () => {
    expect(stepOrRamp(series(30, (i) => (i < 10 ? 0 : -0.01 * (i - 9))))?.course).toBe("ramp");
    expect(stepOrRamp(series(30, (i) => -0.01 * i))?.course).toBe("ramp");
  });

  it("takes a step for a step under noise of a fifth of its size, and a ramp for a ramp", () => {
    for (let shift = 8; shift <= 32; shift += 4) {
      expect(stepOrRamp(series(40, (i) => (i < shift ? 0 : -0.2), 0.04))?.course).toBe("step");
    }
    expect(stepOrRamp(series(60, (i) => -0.2 * (i / 60), 0.02))?.course).toBe("ramp");
  });

  it("takes a step for a step whose value at the change is a mean of both sides", () => {
    expect(stepOrRamp(series(30, (i) => (i < 15 ? 0 : i === 15 ? -0.07 : -0.2), 0.005))?.course).toBe("step");
  });

  it("takes what only the last value or two show for a step, and what the last ten do for a ramp", () => {
    expect(stepOrRamp(series(30, (i) => (i < 29 ? 0 : -0.2), 0.0002))?.course).toBe("step");
    expect(stepOrRamp(series(30, (i) => (i < 28 ? 0 : -0.2), 0.0002))?.course).toBe("step");
    expect(stepOrRamp(series(30, (i) => -0.02 * Math.max(0, i - 19), 0.0002))?.course).toBe("ramp");
  });

  it("says nothing of a level series, nor of fewer than eight values", () => {
    expect(stepOrRamp(series(20, () => 4))).toBeNull();
    expect(stepOrRamp([1, 1, 1, 0, 0, 0, 0])).toBeNull();
  });
});
