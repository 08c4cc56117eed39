// The level sensor watched: what cannot be a water level is kept from the analysis, and what looks wrong for long is
// called a fault. Single spikes pass; the fits give them no weight.

import { medianInPlace, medianOfFive, medianOfThree } from "../statistics/median.ts";
import { orNone, towards } from "../statistics/towards.ts";
import { learnRoughness, noiseOf_m, roughnessOf_m } from "./roughness.ts";

export type LevelProblem = "frozen" | "out-of-range" | "dropping-out" | "implausible";

export interface LevelScreenState {
  seen: boolean;
  last_m: number;
  last_s: number;
  /** Typical interval between levels. */
  interval_s: number;
  /** An interval that one in twenty exceeds. */
  long_s: number;
  /** Smallest step seen between two levels. */
  resolution_m: number;
  /** The latest five levels, oldest first, at the end of the five places; how many there are. */
  readonly recent_m: Float64Array;
  recent: number;
  /** How often the same value has come in a row, since when, and the longest such row of a sensor that was well. */
  repeats: number;
  repeatsFrom_s: number;
  /** The value that is repeated was reached in one leap. */
  leapt: boolean;
  /** By how much the level last leapt up, and when; 0 once it has leapt down again. */
  leap_m: number;
  leapAt_s: number;
  longestRepeats: number;
  /** Running share of levels equal to the one before; taken as all of them until the sensor has been seen to move. */
  equalShare: number;
  /** Running shares of levels that were out of range or far off their neighbours, and of silences. */
  wildShare: number;
  outShare: number;
  /** Shares of readings that carried a level: in the long run, and lately. */
  rowShare: number;
  lateRowShare: number;
  outOfRange: boolean;
  silences: number;
  /** Running median of |second difference|. */
  roughness_m: number;
  /** The value has stood too long for this sensor: kept from the fits at once, called a fault after a while. */
  standing: boolean;
  /** Whence the value that is repeated was fallen to at once; NaN where it was not. */
  fellFrom_m: number;
  /** The lowest level at which one of the latest runs stopped; NaN before enough of them have shown it. */
  lowestStop_m: number;
  /** Runs of the pump through which the value has stood, and when the last of them ended. */
  stoodThroughRuns: number;
  lastStoodThrough_s: number;
  frozen: boolean;
}

export function newLevelScreen(): LevelScreenState {
  return {
    seen: false,
    last_m: Number.NaN,
    last_s: Number.NaN,
    interval_s: Number.NaN,
    long_s: Number.NaN,
    resolution_m: Number.POSITIVE_INFINITY,
    recent_m: new Float64Array(5),
    recent: 0,
    repeats: 0,
    repeatsFrom_s: Number.NaN,
    leapt: false,
    leap_m: 0,
    leapAt_s: Number.NEGATIVE_INFINITY,
    longestRepeats: 4,
    equalShare: 1,
    wildShare: 0,
    outShare: 0,
    rowShare: 0,
    lateRowShare: 1,
    outOfRange: false,
    silences: 0,
    roughness_m: 0,
    standing: false,
    fellFrom_m: Number.NaN,
    lowestStop_m: Number.NaN,
    stoodThroughRuns: 0,
    lastStoodThrough_s: Number.NEGATIVE_INFINITY,
    frozen: false,
  };
}

export interface LevelRange {
  readonly lowest_m: number;
  readonly highest_m: number;
}

/** Repeats that make a frozen sensor: so many, for so long, and so many times more than when it was well. */
const frozenRepeats = 30;
const frozenFor_s = 600;
const frozenTimesLongest = 8;
/** Nearly all readings carry a level; lately fewer than this do. */
const nearlyAllRows = 0.9;
const fewRows = 0.75;
/** More than single codes for a failed measurement. */
const manyOut = 0.03;
/** Runs of the pump that a frozen value stands through. */
const throughRuns = 2;
/**
 * An empty basin reads its bottom for days, and is well, also where someone tries the pump. One whose pump runs so many
 * times, one soon after the other, is not empty: no signal comes from the sensor.
 */
const empty_m = 0.001;
const throughRunsWhenEmpty = 4;
const soonAfter_s = 10_800;
/**
 * Nor is one that fell to its bottom from one reading to the next, from where runs stop or above, and far under that: no
 * pump draws so low and so fast. A basin that is emptied for cleaning fills again within the hour, or falls more slowly.
 */
const emptyFor_s = 3600;
export const farUnder_m = 0.03;
const aboutStop_m = 0.02;
const seenFalling_s = 15;
/** Water in a basin does not toss by as much, nor does a sensor that sees it (standard deviation); common practice, no source. */
const mostNoise_m = 0.03;
/** Levels further apart than this may turn by a whole run from one to the next. */
const slow_s = 5;

/** Takes the next level; returns it if it may be a water level, else null. */
export function screenLevel(
  state: LevelScreenState,
  range: LevelRange,
  time_s: number,
  level_m: number,
): number | null {
  if (state.seen) noteInterval(state, time_s - state.last_s);
  state.seen = true;
  state.last_s = time_s;
  state.outOfRange = !(level_m >= range.lowest_m && level_m <= range.highest_m);
  state.outShare = fadedOut(state.outShare, state.outOfRange ? 1 : 0);
  if (state.outOfRange) {
    return null;
  }
  noteRepeats(state, time_s, level_m);
  noteRoughness(state, level_m);
  state.last_m = level_m;
  return state.standing ? null : level_m;
}

/**
 * Takes levels as `noteRow` and `screenLevel` do one by one, up to the first that may not be an ordinary one: out of
 * range, long after the one before, repeated for long, or rough. Until then nothing is wrong with the sensor.
 *
 * @param time_s  shape (count)
 * @param level_m shape (4 + count): the four levels before come first, and are not taken
 * @returns how many were taken
 */
export function screenOrdinary(
  state: LevelScreenState,
  range: LevelRange,
  time_s: Float64Array,
  level_m: Float64Array,
  count: number,
): number {
  const { lowest_m, highest_m } = range;
  const settled = rowsSettled(state);
  let taken = 0;
  for (; taken < count; taken += 1) {
    if (settled) taken = takeQuiet(state, range, time_s, level_m, taken, count);
    if (taken === count) break;
    const at_s = time_s[taken] as number;
    const now_m = level_m[taken + 4] as number;
    const interval_s = at_s - state.last_s;
    if (!(now_m >= lowest_m && now_m <= highest_m && interval_s > 0)) break;
    if (interval_s > slow_s || interval_s > 4 * state.long_s) break;
    if (state.repeats + 1 >= frozenRepeats && now_m === state.last_m) break;
    if (state.roughness_m > ordinarilyRough_m || state.wildShare > ordinarilyWild) break;
    if (!settled) noteRow(state, true);
    noteInterval(state, interval_s);
    state.last_s = at_s;
    if (state.outShare > 0) state.outShare = fadedOut(state.outShare, 0);
    noteRepeats(state, at_s, now_m);
    learnRough(state, level_m[taken + 2] as number, level_m[taken + 3] as number, now_m);
    state.last_m = now_m;
  }
  if (taken > 0) state.recent_m.set(level_m.subarray(taken - 1, taken + 4));
  return taken;
}

/**
 * The same for levels by the clock that move by little, with nothing odd of late: what nearly all are, worked off without
 * a look at the state for each. Takes those from `from` on; returns the first that was not taken.
 */
function takeQuiet(
  state: LevelScreenState,
  { lowest_m, highest_m }: LevelRange,
  time_s: Float64Array,
  level_m: Float64Array,
  from: number,
  count: number,
): number {
  const { long_s, wildShare, outShare, silences } = state;
  if (state.interval_s !== long_s || wildShare > 0 || outShare > 0 || silences > 0 || state.leapt) return from;
  if (!Number.isNaN(state.fellFrom_m)) return from;
  let { last_s, last_m, roughness_m, equalShare, resolution_m } = state;
  let { repeats, repeatsFrom_s, longestRepeats } = state;
  let i = from;
  for (; i < count; i += 1) {
    const at_s = time_s[i] as number;
    const now_m = level_m[i + 4] as number;
    const step_m = Math.abs(now_m - last_m);
    if (!(now_m >= lowest_m && now_m <= highest_m && step_m <= leap_m && at_s - last_s === long_s)) break;
    if (roughness_m > ordinarilyRough_m || (step_m === 0 && repeats + 1 >= frozenRepeats)) break;
    if (step_m === 0) {
      repeats += 1;
      equalShare = orNone(equalShare + (1 - equalShare) * 0.01);
    } else {
      resolution_m = Math.min(resolution_m, step_m);
      longestRepeats = Math.max(longestRepeats, repeats);
      repeats = 0;
      repeatsFrom_s = at_s;
      equalShare = orNone(equalShare + (0 - equalShare) * 0.01);
    }
    roughness_m = learnRoughness(roughness_m, level_m[i + 2] as number, level_m[i + 3] as number, now_m);
    last_s = at_s;
    last_m = now_m;
  }
  state.last_s = last_s;
  state.last_m = last_m;
  state.roughness_m = roughness_m;
  state.equalShare = equalShare;
  state.resolution_m = resolution_m;
  state.repeats = repeats;
  state.repeatsFrom_s = repeatsFrom_s;
  state.longestRepeats = longestRepeats;
  return i;
}

/** Nothing has been wrong with the sensor of late, or may be with the next level alone; five levels are at hand. */
export function isOrdinary(state: LevelScreenState): boolean {
  const well = !state.outOfRange && state.outShare <= manyOut && !state.standing && !state.frozen;
  const steady = state.silences <= 5 && state.stoodThroughRuns === 0 && state.lateRowShare >= fewRows;
  return well && steady && state.recent === 5 && state.interval_s <= slow_s;
}

/** A whole run of the pump did not move the value: whatever its steps, the sensor is frozen. */
export function screenRun(state: LevelScreenState, from_s: number, to_s: number): void {
  const stood = state.repeats >= 5 && state.repeatsFrom_s <= from_s && state.last_s >= to_s - 1.5 * state.long_s;
  if (!stood || to_s - from_s < 8) return;
  if (state.last_m <= empty_m && from_s - state.lastStoodThrough_s > soonAfter_s) state.stoodThroughRuns = 0;
  state.stoodThroughRuns += 1;
  state.lastStoodThrough_s = to_s;
}

/** Fewer runs do not show where the water goes no lower. */
const fewestStops = 3;

/** Takes where the latest runs stopped. */
export function noteLowestStop(state: LevelScreenState, stops_m: readonly number[]): void {
  state.lowestStop_m = stops_m.length < fewestStops ? Number.NaN : Math.min(...stops_m);
}

/** Whether a reading carried a level: where nearly all do, many that do not are a sensor that drops out. */
export function noteRow(state: LevelScreenState, hasLevel: boolean): void {
  const carried = hasLevel ? 1 : 0;
  const late = state.lateRowShare < fewRows;
  if (!late) state.rowShare = orNone(state.rowShare + (carried - state.rowShare) * 0.002);
  state.lateRowShare = orNone(state.lateRowShare + (carried - state.lateRowShare) * 0.02);
}

/** Readings that carry a level have carried one for so long that further ones change nothing. */
function rowsSettled(state: LevelScreenState): boolean {
  const { rowShare, lateRowShare } = state;
  noteRow(state, true);
  const settled = state.rowShare === rowShare && state.lateRowShare === lateRowShare;
  state.rowShare = rowShare;
  state.lateRowShare = lateRowShare;
  return settled;
}

/** Forgets what leads up to now: after a gap nothing is repeated, spiked or silent. */
export function forgetRecentLevels(state: LevelScreenState): void {
  state.recent = 0;
  state.repeats = 0;
  state.last_s = Number.NaN;
  state.last_m = Number.NaN;
  state.stoodThroughRuns = 0;
  state.standing = false;
  state.frozen = false;
  state.silences = 0;
}

/** Median of the last five levels (three where they come slowly): what findings are judged by. Null without any. */
export function steadyLevel_m(state: LevelScreenState): number | null {
  const { recent_m, recent } = state;
  const wanted = state.interval_s > slow_s ? 3 : 5;
  const c = recent_m[2] as number;
  const d = recent_m[3] as number;
  const e = recent_m[4] as number;
  if (wanted === 3 && recent >= 3) return medianOfThree(c, d, e);
  if (recent === 5) return medianOfFive(recent_m[0] as number, recent_m[1] as number, c, d, e);
  return recent === 0 ? null : medianInPlace(recent_m.slice(-recent));
}

/** How far the steady level lags behind water that rises or falls evenly. */
export function steadyLag_s(state: LevelScreenState): number {
  return (state.interval_s > slow_s ? 1 : 2) * (Number.isFinite(state.long_s) ? state.long_s : 0);
}

/** Up by more than this from one level to the next, and then the very same value for so many levels. */
const leap_m = 0.02;
const mostSaidAgain = 10;

/**
 * A leap whose value is only said again: a spike that the sensor holds shows no more by its repetition. Water that has
 * leapt up moves on, or stands still for longer.
 */
export function onlySaysAgain({ leapt, repeats }: LevelScreenState): boolean {
  return leapt && repeats > 0 && repeats <= mostSaidAgain;
}

/** Standard deviation of one level about a smooth course. */
export function levelNoise_m(state: LevelScreenState): number {
  return noiseOf_m(state.roughness_m);
}

/** What is wrong with the level sensor at `time_s`, if anything. */
export function levelProblem(state: LevelScreenState, time_s: number): LevelProblem | null {
  if (!state.seen) return null;
  if (state.outOfRange || state.outShare > manyOut) return "out-of-range";
  if (state.frozen) return "frozen";
  const silence_s = time_s - state.last_s;
  if (silence_s > Math.max(60, 5 * state.long_s) || state.silences > 5) return "dropping-out";
  if (state.rowShare > nearlyAllRows && state.lateRowShare < fewRows) return "dropping-out";
  if (state.interval_s <= slow_s && levelNoise_m(state) > mostNoise_m) return "implausible";
  return state.wildShare > 0.1 ? "implausible" : null;
}

/** The next level cannot take roughness and share of wild ones from here to where the sensor is implausible. */
const ordinarilyRough_m = 0.9 * roughnessOf_m(mostNoise_m);
const ordinarilyWild = 0.09;

function fadedOut(outShare: number, out: 0 | 1): number {
  return orNone(Math.min(2 * manyOut, outShare + (out - outShare) * 0.005));
}

const step = 1.05;
/** Settles at the 95 % quantile. */
const longUp = step ** 1.9;
const longDown = step ** 0.1;

function noteInterval(state: LevelScreenState, interval_s: number): void {
  if (!(interval_s > 0)) return;
  if (Number.isNaN(state.interval_s)) {
    state.interval_s = interval_s;
    state.long_s = interval_s;
  }
  if (interval_s > 4 * state.long_s) state.silences += 1;
  if (state.silences > 0) state.silences = orNone(state.silences * Math.exp(-interval_s / 600));
  state.interval_s = towards(state.interval_s, interval_s, step, step);
  state.long_s = towards(state.long_s, interval_s, longUp, longDown);
}

function noteRepeats(state: LevelScreenState, time_s: number, level_m: number): void {
  const equal = level_m === state.last_m;
  if (!equal && Math.abs(level_m - state.last_m) < state.resolution_m) {
    state.resolution_m = Math.abs(level_m - state.last_m);
  }
  if (!equal) {
    if (!state.standing) state.longestRepeats = Math.max(state.longestRepeats, state.repeats);
    state.repeats = 0;
    state.repeatsFrom_s = time_s;
    const up_m = level_m - state.last_m;
    state.leapt = up_m > leap_m;
    state.fellFrom_m = up_m < -leap_m && state.interval_s <= seenFalling_s ? state.last_m : Number.NaN;
    if (state.leapt) {
      state.leap_m = up_m;
      state.leapAt_s = time_s;
    } else if (up_m < -leap_m) state.leap_m = 0;
    state.stoodThroughRuns = 0;
  } else state.repeats += 1;
  // A sensor of coarse steps repeats itself while the water stands: only one that never did can be called frozen.
  const empty = level_m <= empty_m;
  const stoodThrough = state.stoodThroughRuns >= (empty ? throughRunsWhenEmpty : throughRuns);
  const unlikeItself =
    state.repeats >= frozenRepeats &&
    state.repeats > frozenTimesLongest * state.longestRepeats &&
    state.equalShare < 0.5;
  // What lies under the sensor shows no inflow; it is no fault.
  const fellAtOnce = !Number.isNaN(state.fellFrom_m) && (state.interval_s <= slow_s || isFarDown(state));
  const for_s = time_s - state.repeatsFrom_s;
  state.standing = stoodThrough || (unlikeItself && (!empty || fellAtOnce));
  state.frozen =
    stoodThrough || (unlikeItself && (empty ? isFarDown(state) && for_s >= emptyFor_s : for_s >= frozenFor_s));
  if (state.repeats < frozenRepeats)
    state.equalShare = orNone(state.equalShare + ((equal ? 1 : 0) - state.equalShare) * 0.01);
}

/** The value that is repeated was fallen to at once, and lies far under where runs stop. */
function isFarDown({ last_m, fellFrom_m, lowestStop_m }: LevelScreenState): boolean {
  return fellFrom_m >= lowestStop_m - aboutStop_m && last_m < lowestStop_m - farUnder_m;
}

function noteRoughness(state: LevelScreenState, level_m: number): void {
  const { recent_m } = state;
  for (let i = 0; i < 4; i += 1) recent_m[i] = recent_m[i + 1] as number;
  recent_m[4] = level_m;
  state.recent = Math.min(5, state.recent + 1);
  if (state.recent >= 3) learnRough(state, recent_m[2] as number, recent_m[3] as number, level_m);
}

/** By three levels in a row. */
function learnRough(state: LevelScreenState, a: number, b: number, level_m: number): void {
  const second_m = Math.abs(a - 2 * b + level_m);
  const spike = Math.abs(b - a) > 0.03 && Math.abs(b - level_m) > 0.03 && (b - a) * (b - level_m) > 0;
  const wild = spike && second_m > 12 * state.roughness_m && !(state.interval_s > slow_s);
  if (wild || state.wildShare > 0)
    state.wildShare = orNone(state.wildShare + ((wild ? 1 : 0) - state.wildShare) * 0.005);
  state.roughness_m = learnRoughness(state.roughness_m, a, b, level_m);
}
