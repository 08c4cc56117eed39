import { describe, expect, it } from "vitest";
import { levelProblem } from "../../../analysis/readings/level-problem.ts";
import { screenLevel } from "../../../analysis/readings/level-screen.ts";
import { newLevelScreen } from "../../../analysis/readings/level-screen-state.ts";
import { screenRun } from "../../../analysis/readings/repeated-levels.ts";

const range = { lowest_m: -0.1, highest_m: 1.1 };

/** A level each second for 1000 s. */
function watched(levelAt: (t: number) => number) {
  const state = newLevelScreen();
  for (let t = 0; t < 1000; t += 1) screenLevel(state, range, t, levelAt(t));
  return state;
}

describe("screenRun", () => {
  it("calls a sensor frozen whose value has stood through two whole runs of the pump, even one of coarse steps", () => {
    const state = watched(() => 0.2);
    screenRun(state, 500, 520);
    screenLevel(state, range, 1000, 0.2);
    expect(levelProblem(state, 1000)).toBeNull();
    screenRun(state, 720, 740);
    screenLevel(state, range, 1001, 0.2);
    expect(levelProblem(state, 1001)).toBe("frozen");
    screenLevel(state, range, 1002, 0.21);
    expect(levelProblem(state, 1002)).toBeNull();
  });

  it("does not count a run during which the value moved, or one too short to move a coarse value", () => {
    const moved = watched((t) => (t < 510 ? 0.3 : 0.2));
    screenRun(moved, 500, 520);
    expect(moved.stoodThroughRuns).toBe(0);
    const short = watched(() => 0.2);
    screenRun(short, 500, 505);
    expect(short.stoodThroughRuns).toBe(0);
  });
});
