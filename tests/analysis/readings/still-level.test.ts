import { describe, expect, it } from "vitest";
import {
  type LevelAtSwitch,
  newStillLevel,
  noteSwitch,
  type StillLevelState,
  standsStill,
} from "../../../analysis/readings/still-level.ts";

const usual: Omit<LevelAtSwitch, "time_s" | "on" | "levels_m"> = {
  noise_m: 0.001,
  startLevel_m: 0.35,
  stopLevel_m: 0.15,
  lowers_ms: 0.0125,
  floatOn: null,
};

/** Cycles of so long a run and rest, with the level at each start and stop. */
function cycles(
  count: number,
  [atStart_m, atStop_m]: readonly [number, number],
  known: Partial<LevelAtSwitch> = {},
  run_s = 16,
  rest_s = 600,
): StillLevelState {
  const state = newStillLevel();
  for (let i = 0; i < count; i += 1) {
    const time_s = i * (run_s + rest_s);
    const trembling = (level_m: number) => Float64Array.from([1, -1, 0, 1, -1], (sd) => level_m + sd * usual.noise_m);
    noteSwitch(state, { ...usual, ...known, time_s, on: true, levels_m: trembling(atStart_m) });
    noteSwitch(state, { ...usual, ...known, time_s: time_s + run_s, on: false, levels_m: trembling(atStop_m) });
  }
  return state;
}

const stands = (state: StillLevelState, level_m: number) => standsStill(state, level_m, () => level_m);

describe("a level that only trembles", () => {
  it("through three whole runs is that of a sensor at a standstill, until it moves", () => {
    expect(stands(cycles(3, [0.25, 0.25]), 0.25)).toBe(true);
    expect(stands(cycles(3, [0.25, 0.25]), 0.28)).toBe(false);
    expect(stands(cycles(2, [0.25, 0.25]), 0.25)).toBe(false);
  });

  it("is none where each run lowers it", () => {
    expect(stands(cycles(9, [0.35, 0.15]), 0.15)).toBe(false);
    expect(stands(cycles(9, [0.25, 0.22]), 0.22)).toBe(false);
  });

  it("passes over one spike, and over runs too brief to move the water by as much", () => {
    const state = cycles(3, [0.25, 0.25]);
    expect(standsStill(state, 0.4, () => 0.25)).toBe(true);
    expect(stands(cycles(9, [0.25, 0.25], {}, 3, 20), 0.25)).toBe(false);
    expect(stands(cycles(9, [0.25, 0.25], { lowers_ms: 0.0005 }), 0.25)).toBe(false);
  });

  it("is none where a pump runs dry for an hour, also where its start was read only once the water was down", () => {
    const state = cycles(2, [0.35, 0.15]);
    const at = (time_s: number, on: boolean, levels_m: number[]) =>
      noteSwitch(state, { ...usual, time_s, on, levels_m: Float64Array.from(levels_m) });
    at(2000, true, [0.26, 0.27, 0.28, 0.29, 0.096]);
    at(5600, false, [0.096, 0.094, 0.096, 0.096, 0.094]);
    expect(state.stoodThroughRun).toBe(false);
  });

  it("is none where it lay anywhere within the swing by noise, and the noise is gone", () => {
    const state = newStillLevel();
    const at = (time_s: number, on: boolean, level_m: number, noise_m: number) =>
      noteSwitch(state, { ...usual, time_s, on, levels_m: new Float64Array(5).fill(level_m), noise_m });
    at(0, true, 0.35, 0.12);
    at(16, false, 0.15, 0.12);
    for (let i = 1; i < 9; i += 1) {
      at(600 * i, true, 0.35, usual.noise_m);
      at(600 * i + 16, false, 0.15, usual.noise_m);
    }
    expect(stands(state, 0.15)).toBe(false);
  });

  it("about the start level may be a pump that moves nothing, unless its float has opened", () => {
    expect(stands(cycles(9, [0.34, 0.34]), 0.34)).toBe(false);
    expect(stands(cycles(9, [0.34, 0.34], { floatOn: false }), 0.34)).toBe(true);
  });

  it("at the bottom may be a basin in which a pump is tried now and then, and is none where it keeps running", () => {
    expect(stands(cycles(3, [0.002, 0.002]), 0.002)).toBe(false);
    expect(stands(cycles(4, [0.002, 0.002]), 0.002)).toBe(true);
    expect(stands(cycles(9, [0.002, 0.002], {}, 16, 20_000), 0.002)).toBe(false);
  });

  it("tells nothing where the float's levels are not known, or the sensor is too noisy for them", () => {
    expect(stands(cycles(9, [0.25, 0.25], { startLevel_m: Number.NaN }), 0.25)).toBe(false);
    expect(stands(cycles(9, [0.25, 0.25], { noise_m: 0.01 }), 0.25)).toBe(false);
  });
});
