// Values that a sensor only says again for some readings, screened as they come.

import { describe, expect, it } from "vitest";
import { steadyIsOld, steadyLevel_m } from "../../../analysis/readings/level-problem.ts";
import { screenLevel } from "../../../analysis/readings/level-screen.ts";
import { newLevelScreen } from "../../../analysis/readings/level-screen-state.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { courseAt } from "../small-basin.ts";

const range = { lowest_m: -0.1, highest_m: 1.1 };

/** What has been screened each second until then. */
function screened(until_s: number, levelAt: (time_s: number) => number) {
  const state = newLevelScreen();
  for (let time_s = 0; time_s < until_s; time_s += 1) screenLevel(state, range, time_s, levelAt(time_s));
  return state;
}

function noisy(noise_m = 0.0015, seed = 1): (time_s: number) => number {
  const random = seededRandom(seed);
  return (time_s) => courseAt(time_s).level_m + random.normal(noise_m);
}

describe("a value that is said again", () => {
  it("keeps back a reading that a trembling sensor holds, but for the first, and what stands for longer passes", () => {
    const state = screened(1000, noisy());
    const next = (time_s: number, level_m: number) => screenLevel(state, range, time_s, level_m);
    const held_m = courseAt(1000).level_m;
    const held = Array.from({ length: 13 }, (_, i) => next(1000 + i, held_m));
    expect(held.slice(2, 11)).toEqual(new Array(9).fill(null));
    expect([held[0], held[1], held[11], held[12]]).toEqual(new Array(4).fill(held_m));
    expect(next(1013, held_m + 0.001)).toBe(held_m + 0.001);
  });

  it("takes the steady level for that of before while a value is held, and until most of five levels are newer", () => {
    const state = screened(1000, noisy());
    const held_m = courseAt(1000).level_m;
    for (let i = 0; i < 8; i += 1) screenLevel(state, range, 1000 + i, held_m);
    const isOld = [0.3, 0.299, 0.298].map((level_m, i) => {
      screenLevel(state, range, 1008 + i, level_m);
      return steadyIsOld(state);
    });
    expect(isOld).toEqual([true, true, false]);
    expect(steadyLevel_m(state)).toBe(0.298);
  });

  it.each([0.08, -0.08])(
    "keeps back what a coarse sensor says again after a leap, by %f m, and lets it pass once it stands",
    (by_m) => {
      const random = seededRandom(2);
      const state = screened(1000, (t) => Math.round((courseAt(t).level_m + random.normal(0.001)) / 0.002) * 0.002);
      const leapt_m = Math.round((courseAt(1000).level_m + by_m) / 0.002) * 0.002;
      const passed = Array.from({ length: 13 }, (_, i) => screenLevel(state, range, 1000 + i, leapt_m));
      expect(passed).toEqual([leapt_m, ...new Array(10).fill(null), leapt_m, leapt_m]);
    },
  );

  it.each([
    [0, null],
    [0.04, null],
    [0.06, 0.2],
  ])("keeps back what a coarse sensor fell to by 60 mm, of a pump that moves %f m meanwhile", (pumped_m, passes) => {
    const state = newLevelScreen();
    const next = (time_s: number, level_m: number) => screenLevel(state, range, time_s, level_m, pumped_m);
    for (let i = 0; i < 1000; i += 1) next(5 * i, 0.26);
    expect([next(5000, 0.2), next(5005, 0.2), next(5010, 0.2)]).toEqual([0.2, passes, passes]);
    // What is another value is a level, and so is the next that is said again.
    expect([next(5015, 0.205), next(5020, 0.205)]).toEqual([0.205, 0.205]);
  });

  it("lets a coarse sensor pass that falls back from a spike to where it stood", () => {
    const state = screened(1000, (t) => Math.round(courseAt(t).level_m / 0.005) * 0.005);
    const stands_m = state.last_m;
    screenLevel(state, range, 1000, stands_m + 0.15);
    const passed = Array.from({ length: 5 }, (_, i) => screenLevel(state, range, 1001 + i, stands_m));
    expect(passed).toEqual(new Array(5).fill(stands_m));
  });
});
