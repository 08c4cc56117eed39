import { describe, expect, it } from "vitest";
import { volumeCourse } from "../../../../analysis/inflow/over-time/volume-course.ts";

function samplesOf(y: readonly number[]) {
  return {
    t: Float64Array.from(y, (_, i) => i),
    y: Float64Array.from(y),
    weight: new Float64Array(y.length),
    count: y.length,
  };
}

describe("volumeCourse", () => {
  it("keeps up to 480 samples singly, whatever weight a curve left them", () => {
    const course = volumeCourse(samplesOf([0.01, 0.011, 0.012]), { first: 512, last: 0 }, 1);
    expect([...course.y.subarray(0, course.count)]).toEqual([0.01, 0.011, 0.012]);
    expect([...course.n.subarray(0, course.count)]).toEqual([1, 1, 1]);
  });

  it("joins more of them in blocks that know how many readings stand behind them", () => {
    // 1200 samples in blocks of three, the last 600 standing for 4 readings each.
    const course = volumeCourse(
      samplesOf(Array.from({ length: 1200 }, (_, i) => i * 1e-5)),
      { first: 600, last: 0 },
      4,
    );
    expect(course.count).toBe(400);
    expect(course.t[0]).toBeCloseTo(1, 12);
    expect(course.y[0]).toBeCloseTo(1e-5, 15);
    expect(course.n[0]).toBe(3);
    expect(course.n[399]).toBe(12);
  });

  it("takes a lone spike for what its neighbours say, and a step for a step", () => {
    const spike = volumeCourse(samplesOf([0.01, 0.01, 0.02, 0.01, 0.01]), { first: 512, last: 0 }, 1);
    expect(spike.y[2]).toBeCloseTo(0.01, 12);
    const step = volumeCourse(samplesOf([0.01, 0.01, 0.02, 0.02, 0.02]), { first: 512, last: 0 }, 1);
    expect(step.y[2]).toBe(0.02);
  });
});
