// A level that leaps up, be it water poured in at once or a sensor set anew, screened as it comes.

import { describe, expect, it } from "vitest";
import { screenLevel } from "../../../analysis/readings/level-screen.ts";
import { newLevelScreen } from "../../../analysis/readings/level-screen-state.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

/** What is known of a leap after water that rises by 10 mm an hour and leaps, by a sensor that has noise and spikes. */
function leapAfter(by_m: number, { every_s = 5, noise_m = 0.0007, spikes = [] as readonly number[] } = {}): number {
  const random = seededRandom(3);
  const state = newLevelScreen();
  for (let i = 0; i < 400; i += 1) {
    const level_m = 0.2 + (0.01 * i * every_s) / 3600 + (i < 200 ? 0 : by_m) + (spikes.includes(i) ? 0.1 : 0);
    screenLevel(state, { lowest_m: -0.1, highest_m: 1.1 }, i * every_s, level_m + random.normal(noise_m));
  }
  return state.leap_m;
}

describe("a leap of the level", () => {
  it("is known from 10 mm on where readings are close and no noise makes it so", () => {
    expect(leapAfter(0.015)).toBeCloseTo(0.015, 2);
    expect(leapAfter(0.015, { every_s: 10 })).toBeCloseTo(0.015, 2);
    expect(leapAfter(0.007)).toBe(0);
    expect(leapAfter(0.015, { every_s: 30 })).toBe(0);
    expect(leapAfter(0.015, { noise_m: 0.003 })).toBe(0);
    expect(leapAfter(0.03, { every_s: 30 })).toBeCloseTo(0.03, 2);
  });

  it("stays known when a spike comes after it and is over, and a spike alone is none", () => {
    expect(leapAfter(0.015, { spikes: [250, 300, 350] })).toBeCloseTo(0.015, 2);
    expect(leapAfter(0, { spikes: [250, 300, 350] })).toBe(0);
  });

  it("is none of water that comes fast, however large its steps", () => {
    const state = newLevelScreen();
    for (let i = 0; i < 300; i += 1) {
      const level_m = 0.2 + (i < 260 ? 0.00002 * i : 0.0052 + 0.013 * (i - 260));
      screenLevel(state, { lowest_m: -0.1, highest_m: 1.1 }, 10 * i, level_m);
      // The first step is one as yet.
      if (i > 264) expect(state.leapAt_s).toBeLessThan(2640);
    }
  });
});
