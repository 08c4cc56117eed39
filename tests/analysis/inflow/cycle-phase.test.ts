import { describe, expect, it } from "vitest";
import { newCyclePhase, notePhase, shareOfRun } from "../../../analysis/inflow/cycle-phase.ts";

/** Cycles of which the run takes `run` of the time; `perReading` of them pass from one reading to the next. */
function strobe(perReading: (i: number) => number, shortestRun: number, readings: number) {
  const state = newCyclePhase();
  let passed = 0;
  for (let i = 0; i < readings; i += 1) {
    const run = shareOfRun(perReading(i), shortestRun);
    const at = passed - Math.floor(passed);
    const on = at >= 1 - run;
    notePhase(state, { full: on ? (1 - at) / run : at / (1 - run), on, shortestRun });
    passed += perReading(i);
  }
  return { counted: state.cycles, passed: passed - perReading(readings - 1) };
}

describe("cycles by a strobe", () => {
  it("are counted to a fraction while readings see each of them", () => {
    const { counted, passed } = strobe(() => 0.1, 0.2, 100);
    expect(counted).toBeCloseTo(passed, 6);
  });

  it("are counted where they come as often as the readings, and oftener, when they have come to that slowly", () => {
    const { counted, passed } = strobe((i) => Math.min(1.2, 0.005 * i), 0.2, 600);
    expect(counted).toBeCloseTo(passed, 0);
  });

  it("give the run its share of the time: half of it when cycles are shortest", () => {
    expect(shareOfRun(1.25, 0.2)).toBeCloseTo(0.5, 12);
    expect(shareOfRun(0, 0.2)).toBe(0);
    // d(1 − d) = 0.8 · 0.2 = 0.16, so d = 0.2
    expect(shareOfRun(0.8, 0.2)).toBeCloseTo(0.2, 12);
  });
});
