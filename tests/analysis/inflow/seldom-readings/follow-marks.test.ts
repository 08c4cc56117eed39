import { describe, expect, it } from "vitest";
import { follow } from "../../../../analysis/inflow/seldom-readings/follow-marks.ts";
import { noteMark } from "../../../../analysis/inflow/seldom-readings/note-mark.ts";
import type { Mark, SparseContext } from "../../../../analysis/inflow/seldom-readings/over-stretch.ts";
import { newRunShare } from "../../../../analysis/inflow/seldom-readings/run-share-state.ts";

const inflow_m3s = 4e-4;
const pump_m3s = 1.1e-3;
const every_s = 47;
/** 20 L between the floats: 50 s of rest and 28.6 s of run, which readings 47 s apart do not keep step with. */
const context: SparseContext = {
  interval_s: every_s,
  byLevel: false,
  noise_m3: 0,
  active_m3: 0.02,
  stop_m3: 0.01,
  scatter_m3: 0,
  pump: () => ({ flow_m3s: 1.05 * pump_m3s, uFlow_m3s: 0.1 * pump_m3s, degreesOfFreedom: 10 }),
  rests: () => null,
  tilt: () => 0,
  learn: () => {},
  isAlone: true,
  used: () => null,
  anew: () => {},
};

function readFor(readings: number, says: (on: boolean) => boolean | null, comesIn = (_: number) => inflow_m3s) {
  const state = newRunShare();
  let [volume_m3, on] = [0.015, false];
  for (let t = 0; t < readings * every_s; t += 0.1) {
    volume_m3 += 0.1 * (comesIn(t) - (on ? pump_m3s : 0));
    if (volume_m3 >= 0.03) on = true;
    if (volume_m3 <= 0.01) on = false;
    if (Math.floor((t + 0.1) / every_s) > Math.floor(t / every_s))
      noteMark(state, { time_s: t, volume_m3, on: says(on) }, context);
  }
  return state;
}

describe("cycles that are followed through the readings remembered", () => {
  it.each([
    ["a contact", (on: boolean) => on],
    ["nothing", () => null],
  ])("tell inflow, starts and the pump with %s beside the level", (_, says) => {
    const state = readFor(48, says);
    const along = follow(state, state.marks[0] as Mark, context);
    expect(Math.abs((along?.inflow.flow_m3s ?? 0) / inflow_m3s - 1)).toBeLessThan(0.03);
    const length_s = (state.marks.at(-1) as Mark).time_s - (state.marks[0] as Mark).time_s;
    expect(Math.abs((along?.starts.starts ?? 0) / (length_s / (50 + 28.6)) - 1)).toBeLessThan(0.04);
    expect(Math.abs((state.pump?.flow_m3s ?? 0) / pump_m3s - 1)).toBeLessThan(0.04);
  });

  it("tell nothing where the contact belies them: at hardly a reading the pump ran", () => {
    const state = readFor(48, () => false);
    expect(follow(state, state.marks[0] as Mark, context)).toBeNull();
  });

  it("are called the least by the level alone once a storm ceases at once, for a pump that holds it lets the level stand", () => {
    const leastOf = (says: (on: boolean) => boolean | null, ceases: (t: number) => number) => {
      const state = readFor(48, says, (t) => (t < 24 * every_s ? 0.8 : ceases(t - 24 * every_s)) * pump_m3s);
      const parts = follow(state, state.marks[0] as Mark, context)?.parts ?? [];
      return parts.map(({ unseenCourse }) => unseenCourse === "least");
    };
    const atOnce = leastOf(
      () => null,
      () => 0.01,
    );
    expect(atOnce.slice(0, 22)).not.toContain(true);
    expect(atOnce.slice(-20)).not.toContain(false);
    expect(
      leastOf(
        (on) => on,
        () => 0.01,
      ),
    ).not.toContain(true);
    expect(
      leastOf(
        () => null,
        (t) => 0.8 * Math.exp(-t / 400),
      ),
    ).not.toContain(true);
  });

  it("are called the least from stretch to stretch, until much comes in again", () => {
    const state = readFor(
      48,
      () => null,
      (t) => (t < 24 * every_s ? 0.8 : t < 36 * every_s ? 0.01 : 0.8) * pump_m3s,
    );
    const stretch = (from: number, to: number) => {
      const marks = state.marks;
      state.marks = marks.slice(0, to + 1);
      const parts = follow(state, marks[from] as Mark, context)?.parts ?? [];
      state.marks = marks;
      return parts.map(({ unseenCourse }) => unseenCourse === "least");
    };
    stretch(0, 31);
    expect(stretch(31, 35)).not.toContain(false);
    expect(stretch(35, 47).at(-1)).toBe(false);
  });

  it("are not followed without the floats, nor through three readings", () => {
    const state = readFor(48, (on) => on);
    expect(follow(state, state.marks[0] as Mark, { ...context, active_m3: null })).toBeNull();
    expect(follow(state, state.marks.at(-2) as Mark, context)).toBeNull();
  });
});
