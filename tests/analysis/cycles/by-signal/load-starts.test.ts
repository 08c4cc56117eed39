import { describe, expect, it } from "vitest";
import { powerLoad } from "../../../../analysis/cycles/by-signal/load-kind.ts";
import { isLoaded, newLoadSplit } from "../../../../analysis/cycles/by-signal/load-split.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

describe("the starts that a load shows", () => {
  /** How many are counted, of loads so many seconds apart. */
  function starts(every_s: number, loads_w: readonly number[]): number {
    const state = newLoadSplit();
    let on: boolean | null = null;
    loads_w.forEach((load_w, i) => {
      on = isLoaded(state, powerLoad, every_s * i, load_w, on);
    });
    return state.starts?.heaps.reduce((sum, count) => sum + count, 0) ?? 0;
  }

  it("are one each, however long what has started draws", () => {
    expect(starts(1, [0, 0, 600, 610, 590, 600, 0, 0, 100, ...Array.from({ length: 500 }, () => 101), 0])).toBe(2);
    expect(starts(5, [0, 600, 610, 590, 0, 100, 101, 99, 700, 690, 100, 0])).toBe(3);
  });

  it("are not of an inrush, nor of what rises by and by, until they stand", () => {
    expect(starts(5, [0, 2000, 600, 0])).toBe(0);
    expect(starts(5, [0, 2000, 600, 600, 0])).toBe(1);
    expect(starts(1, [0, 60, 120, 180, 240, 300, 360, 420, 480, 540, 600, 600])).toBe(1);
  });

  it("are not of what was over within one reading", () => {
    expect(starts(5, [0, 600, 0, 600, 0])).toBe(0);
  });

  it("of a motor that seldom starts are remembered through days of readings between them", () => {
    // Read each second for a week: eight starts of the motor beside forty of a fridge.
    const random = seededRandom(3);
    const state = newLoadSplit();
    let on: boolean | null = null;
    let wrong_s = 0;
    for (let t = 0; t < 7 * 86_400; t += 1) {
      const runs = t % 72_000 >= 71_980;
      const load_w = ((runs ? 900 : 0) + (t % 14_000 < 5000 ? 120 : 1)) * (1 + random.normal(0.02));
      on = isLoaded(state, powerLoad, t, load_w, on);
      if (t > 3.5 * 86_400 && on !== runs) wrong_s += 1;
    }
    expect(wrong_s).toBe(0);
  });
});
