// The level sensor watched: what cannot be a water level is kept from the analysis, and what looks wrong for long is
// called a fault. Single spikes pass; the fits give them no weight.

import { orNone, quickFor, stepsAfter, towards } from "../statistics/towards.ts";
import { closelyRead_s } from "./closely-read.ts";
import { fewRows, manyOut, mostNoise_m, mostOfFive, steadyIsOld, steadyLevel_m } from "./level-problem.ts";
import type { LevelRange, LevelScreenState } from "./level-screen-state.ts";
import { stillByChange } from "./levels-by-change.ts";
import { atOnce_m, atOnce_s, fellAtOnce, isOutOfWater, newOutOfWater, noteOutOfWater } from "./out-of-water.ts";
import {
  frozenRepeats,
  isHeld,
  isSmallLeap,
  leap_m,
  noteRepeats,
  noteWay,
  repeatsByHolding,
} from "./repeated-levels.ts";
import { learnRoughness, roughnessOf_m } from "./roughness.ts";
import { newStillLevel } from "./still-level.ts";

/**
 * Takes the next level; returns it if it may be a water level, else null.
 *
 * @param pumped_m by how much the pump may have lowered the water since the reading before; Infinity where unknown
 * @param runs     whether a contact says that it runs, or ran at the reading before; null without one
 */
export function screenLevel(
  state: LevelScreenState,
  range: LevelRange,
  time_s: number,
  level_m: number,
  pumped_m = Number.POSITIVE_INFINITY,
  runs: boolean | null = null,
): number | null {
  const { last_m, last_s, lowestStop_m, outOfWater } = state;
  if (state.seen) noteInterval(state, time_s - state.last_s);
  state.seen = true;
  state.last_s = time_s;
  state.outOfRange = !(level_m >= range.lowest_m && level_m <= range.highest_m);
  state.outShare = fadedOut(state.outShare, state.outOfRange ? 1 : 0);
  if (state.outOfRange) {
    return null;
  }
  const held = isHeld(state, level_m);
  // From a spike the level only comes back to where the water is.
  const from_m = last_m - level_m > atOnce_m ? Math.min(last_m, steadyLevel_m(state) ?? last_m) : last_m;
  noteOutOfWater(outOfWater, { last_m: from_m, last_s, lowestStop_m }, time_s, level_m, pumped_m, runs);
  noteRepeats(state, time_s, level_m, range.rim_m);
  if (fellAtOnce(from_m - level_m, time_s - last_s, pumped_m)) state.fellByNoPump = true;
  // Between levels far apart no spike is told from a turn, but no pump that rests makes one fall.
  const byNoPump = fellAtOnce(last_m - level_m, time_s - last_s, pumped_m);
  if (byNoPump && state.interval_s > closelyRead_s && !isOutOfWater(outOfWater)) noteWild(state, true);
  if (!isOutOfWater(outOfWater)) noteRoughness(state, level_m);
  else if (outOfWater.since_s === time_s) noteWild(state, true);
  // Like silence it leaves the steady level that of before.
  if (held) state.sinceSilence = 0;
  state.last_m = level_m;
  return held || state.standing || isOutOfWater(outOfWater) ? null : level_m;
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
    if (interval_s > closelyRead_s || interval_s > 4 * state.long_s) break;
    if ((state.repeats + 1 >= frozenRepeats && now_m === state.last_m) || isHeld(state, now_m)) break;
    if (state.last_m - now_m > atOnce_m) break;
    if (state.roughness_m > ordinarilyRough_m || state.wildShare > ordinarilyWild) break;
    if (!settled) noteRow(state, at_s, true);
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
  const { long_s, wildShare, outShare, silences, intervals = 0 } = state;
  if (
    intervals < quickFor ||
    state.interval_s !== long_s ||
    wildShare > 0 ||
    outShare > 0 ||
    silences > 0 ||
    state.leapt
  )
    return from;
  if (!Number.isNaN(state.fellFrom_m)) return from;
  let { last_s, last_m, roughness_m, equalShare, resolution_m } = state;
  let { repeats, repeatsFrom_s, longestRepeats } = state;
  let i = from;
  for (; i < count; i += 1) {
    const at_s = time_s[i] as number;
    const now_m = level_m[i + 4] as number;
    const step_m = Math.abs(now_m - last_m);
    if (!(now_m >= lowest_m && now_m <= highest_m && step_m <= leap_m && at_s - last_s === long_s)) break;
    if (roughness_m > ordinarilyRough_m || isSmallLeap(step_m, roughness_m)) break;
    if (step_m === 0) {
      if (repeats + 1 >= frozenRepeats || repeatsByHolding(repeats + 1, equalShare)) break;
      repeats += 1;
      equalShare = orNone(equalShare + (1 - equalShare) * 0.01);
    } else {
      resolution_m = Math.min(resolution_m, step_m);
      longestRepeats = Math.max(longestRepeats, repeats);
      repeats = 0;
      repeatsFrom_s = at_s;
      equalShare = orNone(equalShare + (0 - equalShare) * 0.01);
      noteWay(state, now_m < last_m);
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
  const well =
    !state.outOfRange &&
    state.outShare <= manyOut &&
    !state.standing &&
    !state.frozen &&
    !isOutOfWater(state.outOfWater);
  const steady = state.silences <= 5 && state.stoodThroughRuns === 0 && state.lateRowShare >= fewRows;
  return (
    well &&
    steady &&
    !mayBeTurned(state) &&
    state.ranBetween !== true &&
    state.recent === 5 &&
    !steadyIsOld(state) &&
    state.interval_s <= closelyRead_s
  );
}

/** A row that comes sooner after a level than by this share of what usually lies between two is no place for one. */
const due = 0.75;

/**
 * Whether a reading carried a level: where nearly all do, many that do not are a sensor that drops out. Rows that say when
 * the pump switches, between levels that come as ever, are none of it.
 */
export function noteRow(state: LevelScreenState, time_s: number, hasLevel: boolean): void {
  if (!hasLevel && time_s - state.last_s < due * state.interval_s) return;
  const carried = hasLevel ? 1 : 0;
  const late = state.lateRowShare < fewRows;
  if (!late) state.rowShare = orNone(state.rowShare + (carried - state.rowShare) * 0.002);
  state.lateRowShare = orNone(state.lateRowShare + (carried - state.lateRowShare) * 0.02);
}

/** Whether the pump has not been resting since the level before; rows that say so may lie between two levels. */
export function ranBetweenLevels(state: LevelScreenState, level_m: number | null, resting: boolean): boolean {
  const ran = state.ranBetween === true;
  if (level_m !== null) state.ranBetween = false;
  else if (!resting) state.ranBetween = true;
  return ran;
}

/** Readings that carry a level have carried one for so long that further ones change nothing. */
function rowsSettled(state: LevelScreenState): boolean {
  const { rowShare, lateRowShare } = state;
  noteRow(state, state.last_s, true);
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
  Object.assign(state.outOfWater, newOutOfWater());
  Object.assign(state.still, newStillLevel());
  state.silences = 0;
}

/** The next level cannot take roughness and share of wild ones from here to where the sensor is implausible. */
const ordinarilyRough_m = 0.9 * roughnessOf_m(mostNoise_m);
const ordinarilyWild = 0.09;

function fadedOut(outShare: number, out: 0 | 1): number {
  return orNone(Math.min(2 * manyOut, outShare + (out - outShare) * 0.005));
}

function noteInterval(state: LevelScreenState, interval_s: number): void {
  if (!(interval_s > 0)) return;
  if (Number.isNaN(state.interval_s)) {
    state.interval_s = interval_s;
    state.long_s = interval_s;
  }
  if (interval_s > 4 * state.long_s && !stillByChange(state)) {
    state.silences += 1;
    state.sinceSilence = 0;
  }
  if (state.silences > 0) state.silences = orNone(state.silences * Math.exp(-interval_s / 600));
  const { intervals = 0 } = state;
  if (intervals < quickFor) state.intervals = intervals + 1;
  const { median, up, down } = stepsAfter(intervals);
  state.interval_s = towards(state.interval_s, interval_s, median, median);
  state.long_s = towards(state.long_s, interval_s, up, down);
}

function noteRoughness(state: LevelScreenState, level_m: number): void {
  const { recent_m } = state;
  for (let i = 0; i < 4; i += 1) recent_m[i] = recent_m[i + 1] as number;
  recent_m[4] = level_m;
  state.recent = Math.min(5, state.recent + 1);
  state.sinceSilence = Math.min(mostOfFive, state.sinceSilence + 1);
  if (state.recent >= 3) learnRough(state, recent_m[2] as number, recent_m[3] as number, level_m);
}

/** Of three levels in a row the pump may have turned the last or the middle one. */
const turnedByPump = 2;

/** Where the signal comes and goes within so many readings, each level would be one that the pump may have turned. */
const ofFlicker = 4.5;
/** A contact on its way over goes to and fro for as long. */
const bounces_s = 4;

/**
 * Takes whether the pump runs, as its signal says at the reading whose level comes next; null where none does. It counts at
 * once, for a signal freed of bounce tells a start after the levels that it turned; but not where it flickers, or a loose
 * contact would hide any level that jumps about.
 */
export function noteSwitching(state: LevelScreenState, time_s: number, on: boolean | null): void {
  const { pumpOn = null, sinceSwitch = turnedByPump, changedBefore_s = Number.NEGATIVE_INFINITY } = state;
  if (on === pumpOn && sinceSwitch === turnedByPump) return;
  const flickers = time_s - changedBefore_s < Math.max(bounces_s, ofFlicker * state.long_s);
  state.sinceSwitch = on === pumpOn || flickers ? Math.min(turnedByPump, sinceSwitch + 1) : 0;
  if (on === pumpOn) return;
  state.pumpOn = on;
  if (state.changedAt_s !== undefined) state.changedBefore_s = state.changedAt_s;
  state.changedAt_s = time_s;
}

function mayBeTurned({ sinceSwitch = turnedByPump }: LevelScreenState): boolean {
  return sinceSwitch < turnedByPump;
}

/** By three levels in a row: where the pump starts or stops the water turns, and says nothing of the sensor. */
function learnRough(state: LevelScreenState, a: number, b: number, level_m: number): void {
  if (mayBeTurned(state)) return;
  const second_m = Math.abs(a - 2 * b + level_m);
  const spike = Math.abs(b - a) > 0.03 && Math.abs(b - level_m) > 0.03 && (b - a) * (b - level_m) > 0;
  const wild = spike && second_m > 12 * state.roughness_m && !(state.interval_s > closelyRead_s);
  if (wild || state.wildShare > 0) noteWild(state, wild);
  state.roughness_m = learnRoughness(state.roughness_m, a, b, level_m);
}

/** So far over where runs start, or under where they stop, and off both the levels beside it, lies no level of a run. */
export const outside_m = 0.03;
export const alone_m = 0.05;

/**
 * Takes where the float trips, of levels so far apart that each may be one of another run: what goes on between those is no
 * sign of foam, but a level alone beyond them is.
 */
export function noteBeyondTrips(state: LevelScreenState, { start_m, stop_m }: UsualTrips): void {
  if (state.recent < 3 || isOutOfWater(state.outOfWater)) return;
  const { recent_m } = state;
  const before_m = recent_m[2] as number;
  const level_m = recent_m[3] as number;
  const after_m = recent_m[4] as number;
  const over = level_m > start_m + outside_m && level_m > Math.max(before_m, after_m) + alone_m;
  const under = level_m < stop_m - outside_m && level_m < Math.min(before_m, after_m) - alone_m;
  if (over || under) noteWild(state, true);
}

/** Where the float usually trips. */
export interface UsualTrips {
  readonly start_m: number;
  readonly stop_m: number;
}

/** Of readings so far apart that a contact misses runs between them fewer must tell, or a day goes by. */
const [memory, memoryOfFew] = [200, 100];

function noteWild(state: LevelScreenState, wild: boolean): void {
  const share = 1 / (state.interval_s > atOnce_s ? memoryOfFew : memory);
  state.wildShare = orNone(state.wildShare + ((wild ? 1 : 0) - state.wildShare) * share);
}
