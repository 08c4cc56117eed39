import { describe, expect, it } from "vitest";
import { clockNotBefore } from "../../daemon/clock-not-before.ts";

/** A clock that started at `start_s`; the wall clock has stepped by `step_s` since. */
function clockAt(start_s: number, step_s = 0) {
  let passed_s = 0;
  return {
    now_s: () => start_s + passed_s,
    wallStep_s: () => step_s,
    pass: (duration_s: number) => {
      passed_s += duration_s;
    },
  };
}

describe("clockNotBefore", () => {
  it("leaves a clock alone that is after the record", () => {
    const clock = clockAt(1000);
    expect(clockNotBefore(clock, 900)).toBe(clock);
    expect(clockNotBefore(clock, null)).toBe(clock);
  });

  it("carries on from the end of the record when the board woke up in the past", () => {
    const clock = clockAt(1000);
    const kept = clockNotBefore(clock, 5000);
    expect(kept.now_s()).toBe(5000);
    clock.pass(7);
    expect(kept.now_s()).toBe(5007);
  });

  it("says how far the wall clock is from the times that it gives", () => {
    // The time server has set the wall clock 9000 s ahead; the record was 4000 s ahead: 5000 s remain.
    expect(clockNotBefore(clockAt(1000, 9000), 5000).wallStep_s()).toBe(5000);
  });
});
