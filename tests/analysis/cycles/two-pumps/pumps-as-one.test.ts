import { describe, expect, it } from "vitest";
import { eitherOfTwo, timesOf } from "../../../../analysis/cycles/two-pumps/pumps-as-one.ts";

const flow = (flow_m3s: number, uFlow_m3s: number) => ({ flow_m3s, uFlow_m3s, degreesOfFreedom: 10 });
const [first, second, both] = [flow(1.5e-3, 3e-5), flow(1.2e-3, 4e-5), flow(2.4e-3, 6e-5)];

describe("a run of which nobody knows whose it is", () => {
  it("moves what either does by its share of the runs, and is as far off as they differ", () => {
    const either = eitherOfTwo({ first, second, both }, 0.5);
    expect(either?.flow_m3s).toBeCloseTo(1.35e-3, 12);
    // Half the difference between them, 0.15e-3, beside 0.015e-3 and 0.02e-3 of either.
    expect(either?.uFlow_m3s).toBeCloseTo(Math.hypot(0.15e-3, 0.015e-3, 0.02e-3), 12);
  });

  it("moves what is known of one, where of the other nothing is", () => {
    expect(eitherOfTwo({ first: null, second, both }, 0.5)).toBe(second);
    expect(eitherOfTwo({ first, second: null, both }, 0.5)).toBe(first);
    expect(eitherOfTwo({ first: null, second: null, both }, 0.5)).toBeNull();
  });
});

describe("those that run", () => {
  const flows = { first, second, both };

  it("move so many times as much as one", () => {
    expect(timesOf(1, flows, first)?.times).toBe(1);
    expect(timesOf(2, flows, first)?.times).toBeCloseTo(0.8, 12);
    expect(timesOf(3, flows, first)?.times).toBeCloseTo(1.6, 12);
    expect(timesOf(3, flows, first)?.uTimes).toBeCloseTo(0.04, 12);
    expect(timesOf(0, flows, first)?.times).toBe(0);
  });

  it("move what nobody knows, as long as no run of theirs has shown it", () => {
    expect(timesOf(3, { ...flows, both: null }, first)).toBeNull();
    expect(timesOf(2, { ...flows, second: null }, first)).toBeNull();
  });
});
