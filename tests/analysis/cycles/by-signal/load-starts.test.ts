import { describe, expect, it } from "vitest";
import { powerLoad } from "../../../../analysis/cycles/by-signal/load-kind.ts";
import { isLoaded, newLoadSplit } from "../../../../analysis/cycles/by-signal/load-split.ts";

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
});
