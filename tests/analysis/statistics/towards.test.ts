import { describe, expect, it } from "vitest";
import { orNone, towards } from "../../../analysis/statistics/towards.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

/** Where the running quantile stands, on the average of its last half, after so many uniform values of 0 to 1. */
function settled(up: number, down: number): number {
  const random = seededRandom(8);
  let value = 0.5;
  let sum = 0;
  for (let i = 0; i < 20_000; i++) {
    value = towards(value, random.uniform(), up, down);
    if (i >= 10_000) sum += value / 10_000;
  }
  return sum;
}

describe("towards", () => {
  it("goes a step up or down, and never past the newest value", () => {
    expect(towards(10, 100, 1.5, 1.5)).toBe(15);
    expect(towards(10, 1, 2, 2)).toBe(5);
    expect(towards(10, 10.1, 1.5, 1.5)).toBe(10.1);
    expect(towards(10, 9.9, 1.5, 1.5)).toBe(9.9);
    expect(towards(10, 10, 1.5, 1.5)).toBe(10);
  });

  it("settles at the median with equal steps, and at the 95 % quantile with steps as 19 to 1", () => {
    expect(settled(1.01, 1.01)).toBeCloseTo(0.5, 1);
    expect(settled(1.001 ** 19, 1.001)).toBeCloseTo(0.95, 1);
  });
});

describe("orNone", () => {
  it("drops only what is far below every share that is asked about", () => {
    expect([orNone(0.5), orNone(2e-6), orNone(5e-7)]).toEqual([0.5, 2e-6, 0]);
  });
});
