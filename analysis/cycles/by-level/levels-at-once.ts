// Many levels at once through what reads pump runs off the level: the same as one by one, and the same state afterwards, to
// the last digit.

import { learnRoughness } from "../../readings/roughness.ts";
import { medianFrom } from "../../statistics/median.ts";
import { noSample, type SteadySignalOutput } from "../by-signal/steady-signal.ts";
import { forgetOldest, letWait } from "../waiting-samples.ts";
import { feedLevel, takeSmooth } from "./level-runs.ts";
import {
  type LevelRunsSettings,
  type LevelRunsState,
  leastFall_m,
  longestWaiting,
  setExtreme,
} from "./level-runs-state.ts";
import { closeTogether_s, five } from "./level-window.ts";

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
  if (followsOn(state, level_m)) {
    feedOn(state, settings, time_s, level_m, count, output);
    return;
  }
  // After a level that was kept from it, it needs a window's levels anew; those after them follow on again.
  const first = Math.min(five, count);
  for (let i = 0; i < first; i += 1) feedLevel(state, settings, time_s[i] as number, level_m[4 + i] as number, output);
  feedOn(state, settings, time_s.subarray(first), level_m.subarray(first), count - first, output);
}

function feedOn(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: Float64Array,
  level_m: Float64Array,
  count: number,
  output: SteadySignalOutput,
): void {
  const close = followsOn(state, level_m);
  if (close && output.sample === noSample && passOver(state, settings, time_s, level_m, count)) return;
  const done = close ? feedClosely(state, settings, time_s, level_m, count, output) : 0;
  for (let i = done; i < count; i += 1)
    feedLevel(state, settings, time_s[i] as number, level_m[4 + i] as number, output);
}

/** The samples before these are the latest that were taken, and each new one completes a window of five. */
function followsOn({ recent, unfed, recent_m }: LevelRunsState, level_m: Float64Array): boolean {
  for (let i = 0; i < 4; i += 1) if (recent_m[i + 1] !== level_m[i]) return false;
  return recent === five && unfed === 2;
}

/**
 * Takes all of them at once, if they stand close together and so near the highest that no run begins, nor ends in a leap:
 * then those since the highest wait, and nothing else is to be done. Else takes none.
 */
function passOver(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: Float64Array,
  level_m: Float64Array,
  count: number,
): boolean {
  const { running, recent_s, waiting, extreme_m } = state;
  if (running !== false || settings.swing_m === null || waiting.count + count > longestWaiting) return false;
  let { roughness_m } = state;
  let before_s = recent_s[4] as number;
  let lowest_m = extreme_m;
  let highest_m = extreme_m;
  for (let i = 0; i < count; i += 1) {
    const now_s = time_s[i] as number;
    const now_m = level_m[i + 4] as number;
    if (!(now_s - before_s <= closeTogether_s)) return false;
    before_s = now_s;
    lowest_m = Math.min(lowest_m, now_m);
    highest_m = Math.max(highest_m, now_m);
    roughness_m = learnRoughness(roughness_m, level_m[i + 2] as number, level_m[i + 3] as number, now_m);
  }
  for (let i = 0; i < 4; i += 1) {
    lowest_m = Math.min(lowest_m, level_m[i] as number);
    highest_m = Math.max(highest_m, level_m[i] as number);
  }
  if (!(highest_m - lowest_m < leastFall_m(state, settings) / 2)) return false;
  const highest = highestMedian(level_m, count);
  let from = 0;
  if (medianFrom(level_m, highest) >= extreme_m) {
    forgetOldest(waiting, waiting.count);
    setExtreme(state, middleOf_s(state, time_s, highest), medianFrom(level_m, highest));
    from = highest;
  }
  for (let i = from; i < count; i += 1)
    letWait(waiting, middleOf_s(state, time_s, i), level_m[i + 2] as number, medianFrom(level_m, i));
  state.roughness_m = roughness_m;
  keepRecent(state, time_s, level_m, count);
  return true;
}

/**
 * The last of the highest medians of five. Of five levels three must be higher for their median to be: from the newest back
 * there are soon hardly any.
 *
 * @param level_m shape (4 + count)
 */
function highestMedian(level_m: Float64Array, count: number): number {
  let highest = count - 1;
  let highest_m = medianFrom(level_m, highest);
  // The latest three that were found higher.
  let [first, second, third] = [count + 4, count + 4 + five, count + 4 + 2 * five];
  for (let j = count + 2; j >= 0; j -= 1) {
    if (!((level_m[j] as number) > highest_m)) continue;
    third = second;
    second = first;
    first = j;
    if (third - first >= five) continue;
    for (let i = Math.min(first, count - 1); i >= 0 && i > third - five; i -= 1) {
      const median_m = medianFrom(level_m, i);
      if (!(median_m > highest_m)) continue;
      highest_m = median_m;
      highest = i;
    }
  }
  return highest;
}

/** When the level was read that stands in the middle of the `i`th five. */
function middleOf_s({ recent_s }: LevelRunsState, time_s: Float64Array, i: number): number {
  return (i < 2 ? recent_s[i + 3] : time_s[i - 2]) as number;
}

function keepRecent(
  { recent_s, recent_m }: LevelRunsState,
  time_s: Float64Array,
  level_m: Float64Array,
  taken: number,
) {
  for (let k = 0; k < five; k += 1) {
    const from = taken + k;
    recent_s[k] = (from < five ? recent_s[from] : time_s[from - five]) as number;
    if (from > 0) recent_m[k] = level_m[from - 1] as number;
  }
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
  const { recent_s, waiting } = state;
  const little_m = settings.swing_m === null ? 0 : leastFall_m(state, settings);
  let { roughness_m } = state;
  let before_s = recent_s[4] as number;
  let i = 0;
  for (; i < count && (time_s[i] as number) - before_s <= closeTogether_s; i += 1) {
    before_s = time_s[i] as number;
    const middle_m = level_m[i + 2] as number;
    roughness_m = learnRoughness(roughness_m, middle_m, level_m[i + 3] as number, level_m[i + 4] as number);
    const middle_s = middleOf_s(state, time_s, i);
    const smooth_m = medianFrom(level_m, i);
    const fall_m = state.extreme_m - smooth_m;
    // What most of them do: they wait, for they lie a little under the highest.
    if (state.running === false && fall_m > 0 && fall_m < little_m && waiting.count < longestWaiting) {
      letWait(waiting, middle_s, middle_m, smooth_m);
      continue;
    }
    state.roughness_m = roughness_m;
    takeSmooth(state, settings, middle_s, middle_m, smooth_m, output);
  }
  state.roughness_m = roughness_m;
  keepRecent(state, time_s, level_m, i);
  return i;
}
