// Pump runs read off the level alone, for a recording without a pump signal: the level turns from rising to falling by
// more than noise can, and back. Edges come a little late but carry the time of the turn.

import { learnRoughness } from "../readings/roughness.ts";
import { medianOfFive } from "../statistics/median.ts";
import { forgetCourse } from "./falling-level.ts";
import {
  type LevelRunsSettings,
  type LevelRunsState,
  leastFall_m,
  longestWaiting,
  newLevelRuns,
  release,
  setExtreme,
} from "./level-runs-state.ts";
import { closeTogether_s, five, throughWindow } from "./level-window.ts";
import { whileResting } from "./resting-level.ts";
import { whileRunning } from "./running-level.ts";
import { noSample, type SteadySignalOutput } from "./steady-signal.ts";
import { forgetOldest, letWait } from "./waiting-samples.ts";

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

/**
 * Takes many levels as `feedLevel` does one by one.
 *
 * @param time_s  shape (count)
 * @param level_m shape (4 + count): the four levels before come first, and are not taken
 */
export function feedLevels(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: Float64Array,
  level_m: Float64Array,
  count: number,
  output: SteadySignalOutput,
): void {
  const done = followsOn(state, level_m) ? feedClosely(state, settings, time_s, level_m, count, output) : 0;
  for (let i = done; i < count; i += 1)
    feedLevel(state, settings, time_s[i] as number, level_m[4 + i] as number, output);
}

/** The samples before these are the latest that were taken, and each new one completes a window of five. */
function followsOn({ recent, unfed, recent_m }: LevelRunsState, level_m: Float64Array): boolean {
  for (let i = 0; i < 4; i += 1) if (recent_m[i + 1] !== level_m[i]) return false;
  return recent === five && unfed === 2;
}

/** Takes those that stand close together; returns how many. */
function feedClosely(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: Float64Array,
  level_m: Float64Array,
  count: number,
  output: SteadySignalOutput,
): number {
  const { recent_s, recent_m, waiting } = state;
  const little_m = settings.swing_m === null ? 0 : leastFall_m(settings);
  const leap_m = output.sample === noSample ? leastFall_m(settings) / 2 : Number.NaN;
  let { roughness_m } = state;
  let before_s = recent_s[4] as number;
  let i = 0;
  for (; i < count && (time_s[i] as number) - before_s <= closeTogether_s; i += 1) {
    before_s = time_s[i] as number;
    const a = level_m[i] as number;
    const b = level_m[i + 1] as number;
    const middle_m = level_m[i + 2] as number;
    const d = level_m[i + 3] as number;
    const e = level_m[i + 4] as number;
    roughness_m = learnRoughness(roughness_m, middle_m, d, e);
    const middle_s = (i < 2 ? recent_s[i + 3] : time_s[i - 2]) as number;
    const smooth_m = medianOfFive(a, b, middle_m, d, e);
    const fall_m = state.extreme_m - smooth_m;
    // What most of them do: they wait, for they lie a little under the highest, or are it.
    if (state.running === false && fall_m > 0 && fall_m < little_m && waiting.count < longestWaiting) {
      letWait(waiting, middle_s, middle_m, smooth_m);
      continue;
    }
    if (state.running === false && fall_m <= 0 && -fall_m <= leap_m) {
      forgetOldest(waiting, waiting.count);
      setExtreme(state, middle_s, smooth_m);
      letWait(waiting, middle_s, middle_m, smooth_m);
      continue;
    }
    state.roughness_m = roughness_m;
    takeSmooth(state, settings, middle_s, middle_m, smooth_m, output);
  }
  state.roughness_m = roughness_m;
  for (let k = 0; k < five; k += 1) {
    const from = i + k;
    recent_s[k] = (from < five ? recent_s[from] : time_s[from - five]) as number;
    if (from > 0) recent_m[k] = level_m[from - 1] as number;
  }
  return i;
}

/** Time of the newest level taken; NaN before the first. */
export function newestLevel_s({ recent, recent_s }: LevelRunsState): number {
  return recent === 0 ? Number.NaN : (recent_s[five - 1] as number);
}

/** Among levels that lie no further apart than these, and those taken of late, no run can begin. */
export function tooFlatForARun(
  { running, extreme_m, recent_m }: LevelRunsState,
  settings: LevelRunsSettings,
  lowest_m: number,
  highest_m: number,
): boolean {
  let low_m = lowest_m;
  let high_m = running === null ? highest_m : Math.max(highest_m, extreme_m);
  for (let k = 0; k < five; k += 1) {
    low_m = Math.min(low_m, recent_m[k] as number);
    high_m = Math.max(high_m, recent_m[k] as number);
  }
  return running !== true && high_m - low_m < leastFall_m(settings);
}

function takeSmooth(
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
  const { roughness_m, fall, overtaken } = state;
  forgetCourse(fall);
  Object.assign(state, newLevelRuns(), { roughness_m, fall, overtaken });
}

function begin(state: LevelRunsState, time_s: number, smooth_m: number, output: SteadySignalOutput): void {
  state.running = false;
  output.edge(time_s, false);
  setExtreme(state, time_s, smooth_m);
}
