// Pump runs read off the level alone, for a recording without a pump signal: the level turns from rising to falling by
// more than noise can, and back. Edges come a little late but carry the time of the turn.

import type { SteadySignalOutput } from "../by-signal/steady-signal.ts";
import { forgetCourse } from "./falling-level.ts";
import {
  type LevelRunsSettings,
  type LevelRunsState,
  leastFall_m,
  newLevelRuns,
  release,
  setExtreme,
} from "./level-runs-state.ts";
import { five, throughWindow } from "./level-window.ts";
import { whileResting } from "./resting-level.ts";
import { whileRunning } from "./running-level.ts";

export function feedLevel(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: number,
  level_m: number,
  output: SteadySignalOutput,
): void {
  throughWindow(state, settings.swing_m, time_s, level_m, (at_s, there_m, smooth_m) =>
    takeSmooth(state, settings, at_s, there_m, smooth_m, output),
  );
}

/** Time of the newest level taken; NaN before the first. */
export function newestLevel_s({ recent, recent_s }: LevelRunsState): number {
  return recent === 0 ? Number.NaN : (recent_s[five - 1] as number);
}

/** Among levels that lie no further apart than these, and those taken of late, no run can begin. */
export function tooFlatForARun(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  lowest_m: number,
  highest_m: number,
): boolean {
  const { running, extreme_m, recent_m } = state;
  let low_m = lowest_m;
  let high_m = running === null ? highest_m : Math.max(highest_m, extreme_m);
  for (let k = 0; k < five; k += 1) {
    low_m = Math.min(low_m, recent_m[k] as number);
    high_m = Math.max(high_m, recent_m[k] as number);
  }
  return running !== true && high_m - low_m < leastFall_m(state, settings);
}

/** Takes a level of which the levels about it have shown what it is without noise. */
export function takeSmooth(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: number,
  level_m: number,
  smooth_m: number,
  output: SteadySignalOutput,
): void {
  if (state.running === null) begin(state, time_s, smooth_m, output);
  if (state.running === true) whileRunning(state, settings, time_s, level_m, smooth_m, output);
  else whileResting(state, settings, time_s, level_m, smooth_m, output);
}

/** Lets go of what waits, at a gap or the end. */
export function settleLevelRuns(state: LevelRunsState, output: SteadySignalOutput): void {
  release(state, state.waiting.count, output);
  const { roughness_m, lowest_m, highest_m, fall, overtaken, turnsHidden } = state;
  forgetCourse(fall);
  Object.assign(state, newLevelRuns(), { roughness_m, lowest_m, highest_m, fall, overtaken, turnsHidden });
}

function begin(state: LevelRunsState, time_s: number, smooth_m: number, output: SteadySignalOutput): void {
  state.running = false;
  output.edge(time_s, false);
  setExtreme(state, time_s, smooth_m);
}
