import { describe, expect, it } from "vitest";
import { noteMark, remembered } from "../../../../analysis/inflow/seldom-readings/note-mark.ts";
import type { SparseContext } from "../../../../analysis/inflow/seldom-readings/over-stretch.ts";
import { newRunShare } from "../../../../analysis/inflow/seldom-readings/run-share-state.ts";

/** 20 L between the floats, which a pump of 1 L/s takes down in 20 s; read each minute. */
const context: SparseContext = {
  interval_s: 60,
  byLevel: false,
  noise_m3: 0,
  active_m3: 0.02,
  stop_m3: 0.01,
  scatter_m3: 0,
  pump: () => ({ flow_m3s: 1e-3, uFlow_m3s: 1e-4, degreesOfFreedom: 10 }),
  rests: () => null,
  tilt: () => 0,
  learn: () => {},
  isAlone: true,
  used: () => null,
  anew: () => {},
};

function marksOf(volumes_l: readonly number[], on: (i: number) => boolean | null, noise_m3 = 0) {
  const state = newRunShare();
  volumes_l.forEach((volume_l, i) => {
    noteMark(state, { time_s: 60 * i, volume_m3: volume_l / 1000, on: on(i) }, { ...context, noise_m3 });
  });
  return state.marks;
}

describe("a reading that is remembered", () => {
  it("counts a run that the contact shows, and half an interval at either end of it", () => {
    const last = marksOf([20, 28, 15, 20], (i) => i === 2).at(-1);
    expect(last).toMatchObject({ starts: 1, runs: 1, ran_s: 60 });
  });

  it("counts one that went by between two readings at rest, by how far the level fell", () => {
    expect(marksOf([20, 28, 12, 20], () => false).at(-1)).toMatchObject({ starts: 0, runs: 1, ran_s: 0 });
  });

  it("counts falls one after the other as one run, where only the level tells, and says nothing of how long it ran", () => {
    const last = marksOf([28, 20, 12, 20], () => null).at(-1);
    expect(last?.runs).toBe(1);
    expect(last?.ran_s).toBeNaN();
  });

  it("takes no fall for a run that noise explains", () => {
    expect(marksOf([20, 24, 20, 24], () => null, 1e-3).at(-1)?.runs).toBe(0);
  });

  it("counts two pumps by what they move, how well that is known, and the readings at which both ran", () => {
    const state = newRunShare();
    const both = { times: { times: 1.8, uTimes: 0.1 }, helped: true } as const;
    [{}, { times: { times: 0.9, uTimes: 0 } }, both, both, {}].forEach((pumps, i) => {
      const on = "times" in pumps;
      noteMark(state, { time_s: 60 * i, volume_m3: 0.02, on, ...pumps }, context);
    });
    const last = state.marks.at(-1);
    expect(last?.ran_s).toBeCloseTo(60 * (0.9 + 1.8 + 1.8), 9);
    expect(last?.uRan_s).toBeCloseTo(60 * 0.2, 9);
    expect(last?.helped).toBe(2);
  });

  it("is forgotten after as many again and more", () => {
    const marks = marksOf(new Array(3 * remembered).fill(20), () => false);
    expect(marks.length).toBeLessThan(2 * remembered);
    expect(marks.at(-1)?.time_s).toBe(60 * (3 * remembered - 1));
  });
});
