import { describe, expect, it } from "vitest";
import { newRunningLoad, noteLoad, takeLoad } from "../../../analysis/cycles/running-load.ts";
import { analyse } from "../analyse.ts";
import { courseReadings, reading, smallSite } from "../small-basin.ts";

describe("takeLoad", () => {
  it("is mean and standard deviation of a run, its first second left out", () => {
    const state = newRunningLoad();
    [0.2, 40, 6, 7, 8, 0.2].forEach((pumpCurrent_a, t) => {
      noteLoad(state, t, reading(t, { pumpCurrent_a }), t > 0 && t < 5);
    });
    // 6, 7, 8: mean 7, standard deviation 1.
    expect(takeLoad(state)).toEqual({ current: { mean: 7, standardDeviation: 1 }, power: null });
    expect(takeLoad(state)).toEqual({ current: null, power: null });
  });

  it("has no standard deviation of one reading", () => {
    const state = newRunningLoad();
    for (const t of [0, 1]) noteLoad(state, t, reading(t, { pumpPower_w: 560 }), true);
    expect(takeLoad(state).power).toEqual({ mean: 560, standardDeviation: null });
  });

  it("takes no reading that no motor gives", () => {
    const state = newRunningLoad();
    for (const [t, pumpCurrent_a] of [0, 6, Number.POSITIVE_INFINITY, Number.NaN].entries()) {
      noteLoad(state, t, reading(t, { pumpCurrent_a }), true);
    }
    expect(takeLoad(state).current?.mean).toBe(6);
  });
});

describe("a cycle", () => {
  it("keeps what the motor drew, with a contact beside the current and without", () => {
    const withLoad = courseReadings(900, { from_s: 30 }).map((each) => ({
      ...each,
      pumpCurrent_a: each.pumpOn ? 6.5 : 0.2,
      pumpPower_w: each.pumpOn ? 540 : 4,
    }));
    for (const readings of [withLoad, withLoad.map((each) => ({ ...each, pumpOn: null }))]) {
      const { cycles } = analyse(smallSite, readings);
      expect(cycles.length).toBe(4);
      for (const { runningCurrent, runningPower } of cycles) {
        expect(runningCurrent).toEqual({ mean: 6.5, standardDeviation: 0 });
        expect(runningPower).toEqual({ mean: 540, standardDeviation: 0 });
      }
    }
  });

  it("has nothing of it where nothing was read", () => {
    const [cycle] = analyse(smallSite, courseReadings(500, { from_s: 30 })).cycles;
    expect(cycle).not.toHaveProperty("runningCurrent");
    expect(cycle).not.toHaveProperty("runningPower");
    expect(cycle).not.toHaveProperty("pumps");
  });
});
