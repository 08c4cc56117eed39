// How fast the level has been moving over the last minute, while the pump has kept its state.

import { medianFrom } from "../statistics/median.ts";

/** The latest entries, oldest first, from `first` on around the ends of the arrays. */
export interface TrendState {
  readonly time_s: Float64Array;
  readonly level_m: Float64Array;
  first: number;
  count: number;
}

/** A straight course: the level at one time and its rate of change. */
export interface LevelCourse {
  readonly time_s: number;
  readonly level_m: number;
  readonly rate_ms: number;
}

const kept_s = 60;
const spacing_s = 2;
/** What a minute holds at that spacing, one entry that is older and the newest; a power of two. */
const places = 32;

export function newTrend(): TrendState {
  return { time_s: new Float64Array(places), level_m: new Float64Array(places), first: 0, count: 0 };
}

export function restartTrend(trend: TrendState): void {
  trend.first = 0;
  trend.count = 0;
}

export function noteLevel(trend: TrendState, time_s: number, level_m: number | null): void {
  if (level_m === null) return;
  if (trend.count > 0 && time_s - at(trend.time_s, trend, trend.count - 1) < spacing_s) return;
  const last = trend.time_s.length - 1;
  const place = (trend.first + trend.count) & last;
  trend.time_s[place] = time_s;
  trend.level_m[place] = level_m;
  trend.count += 1;
  // Keeps one entry that is a minute old or more.
  while (trend.count > 1 && at(trend.time_s, trend, 1) <= time_s - kept_s) {
    trend.first = (trend.first + 1) & last;
    trend.count -= 1;
  }
}

/**
 * Takes the medians of five of levels that follow one another, at those times at which it wants one.
 *
 * @param time_s  shape (count)
 * @param level_m shape (4 + count): the four levels before come first
 */
export function noteLevels(trend: TrendState, time_s: Float64Array, level_m: Float64Array, count: number): void {
  let latest_s = trend.count === 0 ? Number.NEGATIVE_INFINITY : at(trend.time_s, trend, trend.count - 1);
  const all = trend.time_s.length;
  let due = 0;
  for (let i = 0; i < count; i += 1) {
    const now_s = time_s[i] as number;
    if (now_s - latest_s < spacing_s) continue;
    latest_s = now_s;
    wanted[due & (most - 1)] = i;
    due += 1;
  }
  // More than fill all places: those before the last of them would be gone at the end of the stretch.
  const passing = Math.max(0, due - all);
  if (passing > 0) {
    trend.first = (trend.first + trend.count + passing) & (all - 1);
    trend.count = 0;
  }
  for (let k = passing; k < due; k += 1) {
    const i = wanted[k & (most - 1)] as number;
    noteLevel(trend, time_s[i] as number, medianFrom(level_m, i));
  }
}

/** As many as a trend may have places: those that were stored before have twice as many. */
const most = 2 * places;
const wanted = new Int32Array(most);

/** A step by so many standard deviations of a level is no noise. Common practice, no source. */
export const clearStep = 6;

/**
 * Null until a minute has been seen. What comes all at once goes on for no minute: a bucket, or a whole rest between two
 * readings of runs. Where the largest step is more than noise, it is the rise of all but that.
 *
 * @param noise_m standard deviation of a level
 */
export function riseInAMinute_m(trend: TrendState, noise_m: number): number | null {
  const span_s = spanOf(trend.time_s, trend);
  if (span_s < 0.9 * kept_s) return null;
  const rise_m = spanOf(trend.level_m, trend);
  if (!(rise_m > 0)) return (rise_m * kept_s) / span_s;
  const step = largestStep(trend);
  if (!(step.up_m > clearStep * noise_m)) return (rise_m * kept_s) / span_s;
  return ((rise_m - step.up_m) * kept_s) / (span_s - step.length_s);
}

function largestStep(trend: TrendState): { readonly up_m: number; readonly length_s: number } {
  const { time_s, level_m, count } = trend;
  let [up_m, length_s] = [0, 0];
  for (let i = 1; i < count; i += 1) {
    const by_m = at(level_m, trend, i) - at(level_m, trend, i - 1);
    if (by_m > up_m) [up_m, length_s] = [by_m, at(time_s, trend, i) - at(time_s, trend, i - 1)];
  }
  return { up_m, length_s };
}

const latest_s = 8;
const shortestCourse_s = 15;

/** The course of the last minute but for its latest seconds, against which those can be held; null before 15 s of it. */
export function earlierCourse(trend: TrendState): LevelCourse | null {
  const { time_s, level_m, count } = trend;
  if (count === 0) return null;
  const newest_s = at(time_s, trend, count - 1);
  let last = count - 1;
  while (last > 0 && at(time_s, trend, last) > newest_s - latest_s) last -= 1;
  const end_s = at(time_s, trend, last);
  const end_m = at(level_m, trend, last);
  const length_s = end_s - at(time_s, trend, 0);
  if (!(length_s >= shortestCourse_s)) return null;
  return { time_s: end_s, level_m: end_m, rate_ms: (end_m - at(level_m, trend, 0)) / length_s };
}

/** Mean rate of change over what has been seen of the last minute; null before 5 s. */
export function levelTrend_ms(trend: TrendState): number | null {
  const span_s = spanOf(trend.time_s, trend);
  return span_s < 5 ? null : spanOf(trend.level_m, trend) / span_s;
}

const shortest_s = 4;

/** How fast the level has been falling over the latest four seconds or so; null before. */
export function latestFall_ms(trend: TrendState): number | null {
  const { time_s, level_m, count } = trend;
  for (let i = count - 2; i >= 0; i -= 1) {
    const length_s = at(time_s, trend, count - 1) - at(time_s, trend, i);
    if (length_s >= shortest_s) return (at(level_m, trend, i) - at(level_m, trend, count - 1)) / length_s;
  }
  return null;
}

/** The fastest that the level rose over any `over_s`, or the next longer stretch that was noted, of the latest `within_s`; null before. */
export function fastestRise_ms(trend: TrendState, over_s: number, within_s: number): number | null {
  const { time_s, level_m, count } = trend;
  const newest_s = at(time_s, trend, count - 1);
  let fastest_ms: number | null = null;
  for (let i = count - 1, j = count - 1; i >= 0 && newest_s - at(time_s, trend, i) <= within_s; i -= 1) {
    while (j > i + 1 && at(time_s, trend, j - 1) - at(time_s, trend, i) >= over_s) j -= 1;
    const length_s = at(time_s, trend, j) - at(time_s, trend, i);
    if (!(length_s >= over_s)) continue;
    const rise_ms = (at(level_m, trend, j) - at(level_m, trend, i)) / length_s;
    fastest_ms = Math.max(fastest_ms ?? rise_ms, rise_ms);
  }
  return fastest_ms;
}

/** From the oldest entry to the newest; 0 without any. */
function spanOf(values: Float64Array, trend: TrendState): number {
  return trend.count === 0 ? 0 : at(values, trend, trend.count - 1) - at(values, trend, 0);
}

function at(values: Float64Array, { first }: TrendState, i: number): number {
  return values[(first + i) & (values.length - 1)] ?? 0;
}
