// A level that is said again and again: whether the water stands still, the basin is empty, or the sensor is frozen.

import { orNone } from "../statistics/towards.ts";
import { closelyRead_s } from "./closely-read.ts";
import { levelNoise_m, steadyLevel_m } from "./level-problem.ts";
import type { LevelScreenState } from "./level-screen-state.ts";
import { aboutStop_m, farUnder_m, isOutOfWater } from "./out-of-water.ts";
import { noiseOf_m } from "./roughness.ts";
import { type LevelAtSwitch, noteSwitch, standsStill } from "./still-level.ts";

/** Repeats that make a frozen sensor: so many, for so long, and so many times more than when it was well. */
export const frozenRepeats = 30;
const frozenFor_s = 600;
const frozenTimesLongest = 8;
/** Part of one level in the share of levels that are as the one before, and of one change in that of changes that turn back. */
const ofOne = 0.01;
/** Water goes up or down for many changes; noise turns back at most of them. Judgement, no source. */
const trembles = 0.3;
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
const seenFalling_s = 15;
/** Up by more than this from one level to the next, and then the very same value for so many levels. */
export const leap_m = 0.02;
const mostSaidAgain = 10;

/** Water that runs over stands still at the rim, as near to where that is stated as a sensor's zero is off. Judgement, no source. */
const aboutRim_m = 0.02;

/** Takes the next level, which may be one. */
export function noteRepeats(state: LevelScreenState, time_s: number, level_m: number, rim_m?: number): void {
  const equal = level_m === state.last_m;
  if (!equal && Math.abs(level_m - state.last_m) < state.resolution_m) {
    state.resolution_m = Math.abs(level_m - state.last_m);
  }
  if (!equal) {
    if (!state.standing) state.longestRepeats = Math.max(state.longestRepeats, state.repeats);
    state.repeats = 0;
    state.repeatsFrom_s = time_s;
    noteWay(state, level_m < state.last_m);
    const up_m = level_m - state.last_m;
    state.leapt = up_m > leap_m;
    noteLeap(state, time_s, level_m);
    state.fellFrom_m = up_m < -leap_m && state.interval_s <= seenFalling_s ? state.last_m : Number.NaN;
    if (state.fellByNoPump === true) state.fellByNoPump = false;
    state.stoodThroughRuns = 0;
  } else state.repeats += 1;
  // A sensor of coarse steps repeats itself while the water stands: only one that never did can be called frozen.
  const empty = level_m <= empty_m;
  const stoodThrough = state.stoodThroughRuns >= (empty ? throughRunsWhenEmpty : throughRuns);
  const runsOver = rim_m !== undefined && level_m > rim_m - aboutRim_m;
  const often = state.repeats >= frozenRepeats && state.repeats > frozenTimesLongest * state.longestRepeats;
  const unlikeItself = often && !runsOver && mayFreeze(state);
  // What lies under the sensor shows no inflow; it is no fault.
  const fellAtOnce = !Number.isNaN(state.fellFrom_m) && (state.interval_s <= closelyRead_s || isFarDown(state));
  const for_s = time_s - state.repeatsFrom_s;
  const stands = stoodThrough || standsStill(state.still, level_m, () => steadyLevel_m(state));
  state.standing = stands || (unlikeItself && (!empty || fellAtOnce));
  state.frozen = stands || (unlikeItself && (empty ? isFarDown(state) && for_s >= emptyFor_s : for_s >= frozenFor_s));
  if (state.repeats < frozenRepeats)
    state.equalShare = orNone(state.equalShare + ((equal ? 1 : 0) - state.equalShare) * ofOne);
}

/**
 * A fall by less of a leap is water that someone took out, or a pump that nothing watches; by about as much, the leap is over.
 * Judgement, no source.
 */
const leaptBack = 0.75;
/** Within so many readings a splash is down again, by and by. Judgement, no source. */
const splash = 5;

/** What falls is up again, or not, with the next level that is another: a spike downwards ends no leap, and is none. */
function noteLeap(state: LevelScreenState, time_s: number, level_m: number): void {
  const { last_m, fellFrom_m, interval_s } = state;
  const fell_m = interval_s <= seenFalling_s ? fellFrom_m - last_m : last_m - level_m;
  const up_m = level_m - (level_m > last_m && fellFrom_m > last_m ? fellFrom_m : last_m);
  const fellAndRose = fellFrom_m > last_m && level_m - last_m > leap_m;
  // The fall from a spike has ended that, and no leap before it.
  const counted = state.fallCounted === true;
  if (counted) state.fallCounted = false;
  if (!counted && !fellAndRose && fell_m > leap_m && fell_m > leaptBack * state.leap_m) undoLeap(state);
  const soon = time_s - state.leapAt_s <= splash * interval_s;
  if (soon && level_m < state.leapFrom_m + (1 - leaptBack) * state.leap_m) {
    state.fallCounted = state.leap_m > 0;
    undoLeap(state);
  }
  const isSmall = interval_s <= seenFalling_s && isSmallLeap(up_m, state.roughness_m) && !goesOn(state, up_m);
  if (!(up_m > leap_m || isSmall)) return;
  if (state.leap_m > 0) Object.assign(state, { leapBefore_m: state.leap_m, leapBeforeAt_s: state.leapAt_s });
  state.leapFrom_m = level_m - up_m;
  state.leap_m = up_m;
  state.leapAt_s = time_s;
}

/** The latest levels have risen by as much: water that comes fast does so step by step. */
function goesOn(state: LevelScreenState, up_m: number): boolean {
  return state.last_m - (steadyLevel_m(state) ?? state.last_m) > up_m / 2;
}

/** A spike is over: the water, or the sensor's zero, that had leapt before it is where it was then. */
function undoLeap(state: LevelScreenState): void {
  state.leap_m = state.leapBefore_m ?? 0;
  if (state.leap_m > 0) state.leapAt_s = state.leapBeforeAt_s ?? Number.NEGATIVE_INFINITY;
  state.leapBefore_m = 0;
}

/** Closely read, a step by more is one, too, where no noise makes it so: common practice, no source. */
const smallLeap_m = 0.01;
const beyondNoise = 6;

/** Whether water that is read closely has risen at once, or its sensor been set higher, by more than rain or noise make. */
export function isSmallLeap(by_m: number, roughness_m: number): boolean {
  return by_m > smallLeap_m && by_m > beyondNoise * noiseOf_m(roughness_m);
}

/** Takes which way a level differs from the one before. */
export function noteWay(state: LevelScreenState, down: boolean): void {
  const goesOn = down === state.wentDown;
  state.turnShare = towardsShare(state.turnShare, !goesOn);
  state.acrossShare = towardsShare(state.acrossShare ?? 0, goesOn && down !== state.wentOnDown);
  state.wentDown = down;
  if (goesOn) state.wentOnDown = down;
}

function towardsShare(share: number, isOne: boolean): number {
  return orNone(share + ((isOne ? 1 : 0) - share) * ofOne);
}

/**
 * Of noise that is bounded, spread evenly, and reaches from the middle of a step just beyond it, so many readings turn back
 * wherever water slowly rises through the steps: two of them differ on the average by two thirds of its half-width. Noise of
 * which as many do leaves any place in a step, bounded or not, and water that stands does not keep it from that.
 */
const leavesAnyStep = 1 / 3;

/**
 * At the edge of a step the least noise changes every other reading, and turns back each time, though in the middle of a step
 * the value stands. What leaves that to either side is seen to go through a value one way, and then the other. So is a run of
 * the pump and the water that rises after it, once: more often than those among the changes of late it is noise.
 */
const acrossByRun = 2 * ofOne;

/**
 * A sensor that hardly repeated itself before; nor one of coarse steps that goes up and down between them by its noise: one
 * without noise stands while the water does.
 */
function mayFreeze({ equalShare, turnShare, acrossShare = 0 }: LevelScreenState): boolean {
  if (equalShare < 0.5) return true;
  // What the row under way has itself added to the share is no habit of the sensor.
  const changes = (1 - equalShare) / (1 - ofOne) ** (frozenRepeats - 1);
  const often = changes > 0.5 || changes * turnShare > leavesAnyStep;
  return turnShare > trembles && often && acrossShare > acrossByRun;
}

/** The value that is repeated was fallen to at once, and lies far under where runs stop. */
function isFarDown({ last_m, fellFrom_m, lowestStop_m }: LevelScreenState): boolean {
  return fellFrom_m >= lowestStop_m - aboutStop_m && last_m < lowestStop_m - farUnder_m;
}

/** A whole run of the pump did not move the value: whatever its steps, the sensor is frozen. */
export function screenRun(state: LevelScreenState, from_s: number, to_s: number): void {
  const stood = state.repeats >= 5 && state.repeatsFrom_s <= from_s && state.last_s >= to_s - 1.5 * state.long_s;
  if (!stood || to_s - from_s < 8) return;
  if (state.last_m <= empty_m && from_s - state.lastStoodThrough_s > soonAfter_s) state.stoodThroughRuns = 0;
  state.stoodThroughRuns += 1;
  state.lastStoodThrough_s = to_s;
}

const noLevels = new Float64Array(1).fill(Number.NaN);

/** Takes a start or stop of the pump, told by its signal, with what is known then beside the levels themselves. */
export function screenSwitch(state: LevelScreenState, at: Omit<LevelAtSwitch, "levels_m" | "noise_m">): void {
  const old = isOutOfWater(state.outOfWater) || state.recent < 5 || at.time_s - state.last_s > 2 * state.long_s;
  noteSwitch(state.still, { ...at, levels_m: old ? noLevels : state.recent_m, noise_m: levelNoise_m(state) });
  if (!state.still.sure) return;
  state.standing = true;
  state.frozen = true;
}

/** Fewer runs do not show where the water goes no lower. */
const fewestStops = 3;

/** Takes where the latest runs stopped. */
export function noteLowestStop(state: LevelScreenState, stops_m: readonly number[]): void {
  // A sensor out of the water shows no stops; those before it still tell.
  if (isOutOfWater(state.outOfWater)) return;
  if (stops_m.length >= fewestStops) state.lowestStop_m = Math.min(...stops_m);
}

/** A sensor that trembles says a value so many times by chance in fewer than one in so many such rows. */
const byChance = 1e-3;

/**
 * The value is said again though the sensor hardly ever repeats one: it holds its last reading for a moment, and this is no
 * new one. Held for longer, it may be the water that stands.
 */
export function isHeld(state: LevelScreenState, level_m: number): boolean {
  const { last_m, repeats, equalShare, interval_s } = state;
  if (level_m !== last_m || interval_s > closelyRead_s) return false;
  return repeatsByHolding(repeats + 1, equalShare) || (cameAtOnce(state) && repeats < mostSaidAgain);
}

/** No pump draws the water down by so much in a second, and none but a bucket raises it so; common practice, no source. */
const atOnce_ms = { up: 0.02, down: 0.05 } as const;

/** Reached in one leap: water that does that is not calm at once, so that the very same value again is no new reading of it. */
function cameAtOnce(state: LevelScreenState): boolean {
  const { leapt, leap_m: up_m, fellFrom_m, fellByNoPump, last_m, interval_s } = state;
  const seconds = Math.max(1, interval_s);
  if (leapt) return up_m > atOnce_ms.up * seconds;
  const fell = fellByNoPump === true || fellFrom_m - last_m > atOnce_ms.down * seconds;
  return fell && !isSpikeOver(state);
}

/** What it fell to is where it had stood before it leapt up, a moment ago: that is the water. */
function isSpikeOver({ leapFrom_m, leapAt_s, repeatsFrom_s, last_m, interval_s }: LevelScreenState): boolean {
  return repeatsFrom_s - leapAt_s <= mostSaidAgain * interval_s && last_m > leapFrom_m - leap_m;
}

export function repeatsByHolding(repeats: number, equalShare: number): boolean {
  return repeats <= mostSaidAgain && hardlyByChance(repeats, equalShare);
}

/** Whether a value is said again so many times hardly ever, by a sensor of which so many levels are as the one before. */
export function hardlyByChance(repeats: number, equalShare: number): boolean {
  return repeats > 1 && equalShare < 0.5 && equalShare ** repeats < byChance;
}

/**
 * A leap whose value is only said again: a spike that the sensor holds shows no more by its repetition. Water that has
 * leapt up moves on, or stands still for longer.
 */
export function onlySaysAgain({ leapt, repeats }: LevelScreenState): boolean {
  return leapt && repeats > 0 && repeats <= mostSaidAgain;
}
