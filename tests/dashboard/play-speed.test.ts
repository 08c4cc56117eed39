import { describe, expect, it } from "vitest";
import { sliderOf, speedOf, speedSteps } from "../../dashboard/play-speed.ts";
import * as fc from "../at-random.ts";

describe("the speed of time on a slider", () => {
  it("runs from 1 to the fastest, multiplying evenly", () => {
    expect([0, 25, 50, 75, 100].map((slider) => speedOf(slider, 10_000))).toEqual([1, 10, 100, 1000, 10_000]);
  });

  it("stands where the speed is", () => {
    expect(sliderOf(100, 10_000)).toBe(50);
    expect(sliderOf(0.5, 10_000)).toBe(0);
    expect(sliderOf(1, 1)).toBe(0);
  });

  it("never asks for more than the fastest or less than 1", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 100 }), fc.integer({ min: 1, max: 20_000 }), (slider, fastest) => {
        const speed = speedOf(slider, fastest);
        expect(speed).toBeGreaterThanOrEqual(1);
        expect(speed).toBeLessThanOrEqual(fastest);
      }),
    );
  });

  it("offers no step beyond the fastest", () => {
    expect(speedSteps(1000)).toEqual([1, 60, 600]);
  });
});
