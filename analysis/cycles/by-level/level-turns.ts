// When a level turned, by the samples that wait to be told apart: carried back along the fall or the rise as its middle tells
// it, for close to the turn the samples lie within the noise.

import { medianInPlace } from "../../statistics/median.ts";
import { workplace } from "../../statistics/workplace.ts";
import { type WaitingSamples, waitingSmooth_m, waitingTime_s } from "../waiting-samples.ts";

/** A fall from the highest, or a rise from the lowest, that is under way. */
export interface TurningLevel {
  readonly waiting: WaitingSamples;
  readonly extreme_m: number;
  readonly extremeAt_s: number;
}

const slowStart = 1.5;

/**
 * The last waiting sample before the fall as its middle half tells it, carried back; -1 where the beginning of it, as far
 * back as the highest sample, was not much slower. A level that wanders has its highest sample well before the run.
 */
export function lastBeforeFall({ waiting, extreme_m, extremeAt_s }: TurningLevel): number {
  const last = waiting.count - 1;
  const { from_s, took_s, begins_s } = carriedBack(waiting, extreme_m, waitingSmooth_m(waiting, last), [0.25, 0.75]);
  const interval_s = waitingTime_s(waiting, last) - waitingTime_s(waiting, Math.max(0, last - 1));
  if (!(from_s - extremeAt_s > slowStart * took_s + interval_s)) return -1;
  return Math.min(last, countUpTo(waiting, begins_s)) - 1;
}

/** A peak is over within so many samples, and as many more show that the level goes on under it. */
const peak = 4;
const littleOfFall = 0.1;

/**
 * The highest of the waiting samples after one or two that stood out by more than `over_m`, where the level went on under
 * those for far longer than the fall since has taken; -1 where the highest of all is where the fall begins.
 */
export function topAfterPeak({ waiting, extreme_m, extremeAt_s }: TurningLevel, over_m: number): number {
  const last = waiting.count - 1;
  let top = Math.max(0, countUpTo(waiting, extremeAt_s) - 1) + peak + 1;
  for (let i = top + 1; i < last; i += 1) if (waitingSmooth_m(waiting, i) >= waitingSmooth_m(waiting, top)) top = i;
  if (!(top < last && extreme_m - waitingSmooth_m(waiting, top) > over_m)) return -1;
  const interval_s = waitingTime_s(waiting, last) - waitingTime_s(waiting, last - 1);
  // Where hardly anything comes in, the highest of noisy levels may lie well before the fall.
  const top_m = waitingSmooth_m(waiting, top);
  const little_m = Math.max(over_m, littleOfFall * (top_m - waitingSmooth_m(waiting, last)));
  let near = last - 1;
  while (top_m - waitingSmooth_m(waiting, near) > little_m) near -= 1;
  const fell_s = waitingTime_s(waiting, last) - waitingTime_s(waiting, near);
  return waitingTime_s(waiting, top) - extremeAt_s > slowStart * fell_s + 2 * peak * interval_s ? top : -1;
}

/** Within the first half of the fall: where it holds fewer samples the fall is quick, and its beginning plain. */
const slowFall = 12;

/**
 * The last waiting sample before a slow fall, as its first half tells it, carried back to the highest level: in a storm the
 * level turns from a quick rise to so slow a fall that the samples after the turn lie within the noise of the highest.
 */
export function lastBeforeSlowFall({ waiting, extreme_m }: TurningLevel): number {
  const last = waiting.count - 1;
  const { to_s, begins_s } = carriedBack(waiting, extreme_m, waitingSmooth_m(waiting, last), [0.125, 0.5]);
  const before = Math.min(last, countUpTo(waiting, begins_s));
  const within = Math.min(last, countUpTo(waiting, to_s)) - before;
  return within < slowFall ? last : before - 1;
}

/** A shorter rise is seen in too few samples, or is a step of the sensor. */
const fewSamples_s = 2;
/** Times the pace of the rise. */
const muchSlower = 0.3;

/** When the level turned up from its lowest after a much slower fall, of `pace_ms`; else NaN. */
export function beforeRise_s({ waiting, extreme_m }: TurningLevel, smooth_m: number, pace_ms: number): number {
  const { took_s, begins_s } = carriedBack(waiting, extreme_m, smooth_m, [0.25, 0.75]);
  const seen = took_s > fewSamples_s && pace_ms < (muchSlower * (smooth_m - extreme_m)) / 2 / took_s;
  return seen ? begins_s : Number.NaN;
}

/** A level that has stood since does not scatter by more than a pump takes down in so long, nor rise by it. */
const stands_s = 2;
const fewestStanding = 5;

/**
 * When the level came to where it has stood since: of many samples that stand, the lowest lies deep, and late. NaN where the
 * level does not stand, or fell too slowly to tell.
 *
 * @param lowest how many of those that wait are clearly above the lowest
 */
export function beforeStanding_s({ waiting, extreme_m }: TurningLevel, lowest: number, pace_ms: number): number {
  const standing = waiting.count - lowest;
  if (standing < fewestStanding) return Number.NaN;
  const levels = standingIn(standing);
  let highest_m = extreme_m;
  for (let i = 0; i < standing; i += 1) {
    levels[i] = waitingSmooth_m(waiting, lowest + i);
    highest_m = Math.max(highest_m, levels[i] as number);
  }
  if (!(highest_m - extreme_m < stands_s * pace_ms)) return Number.NaN;
  const down = countAbove(waiting, highest_m);
  if (down === 0) return Number.NaN;
  const [above_m, below_m] = [waitingSmooth_m(waiting, down - 1), waitingSmooth_m(waiting, down)];
  const [from_s, to_s] = [waitingTime_s(waiting, down - 1), waitingTime_s(waiting, down)];
  const down_s = from_s + ((to_s - from_s) * (above_m - highest_m)) / (above_m - below_m);
  return down_s + (highest_m - medianInPlace(levels, standing)) / pace_ms;
}

const standingIn = workplace();

/** In fewer samples no fall shows; and one that goes on does so by more than such a part of its pace. Judgement, no source. */
const fewestFalling = 4;
const ofPace = 0.5;

/**
 * Whether the level falls on since its lowest, which then was a spike: by the middle of the later half of those that wait since
 * and of the earlier.
 */
export function fallsOn(waiting: WaitingSamples, lowestAt_s: number, pace_ms: number): boolean {
  const first = countUpTo(waiting, lowestAt_s);
  const half = (waiting.count - first) >> 1;
  if (2 * half < fewestFalling) return false;
  const later = waiting.count - half;
  const apart_s = waitingTime_s(waiting, later) - waitingTime_s(waiting, first);
  return middleOf_m(waiting, first, half) - middleOf_m(waiting, later, half) > ofPace * pace_ms * apart_s;
}

function middleOf_m(waiting: WaitingSamples, from: number, count: number): number {
  const levels = standingIn(count);
  for (let i = 0; i < count; i += 1) levels[i] = waitingSmooth_m(waiting, from + i);
  return medianInPlace(levels, count);
}

/** How many of the oldest lie above `level_m`, one after the other. */
export function countAbove(waiting: WaitingSamples, level_m: number): number {
  let count = 0;
  while (waitingSmooth_m(waiting, count) > level_m) count += 1;
  return count;
}

export function countUpTo(waiting: WaitingSamples, time_s: number): number {
  let count = 0;
  while (count < waiting.count && waitingTime_s(waiting, count) <= time_s) count += 1;
  return count;
}

/** When the level last passed two shares of its way from the extreme, and when it set out at the pace between them. */
function carriedBack(
  waiting: WaitingSamples,
  extreme_m: number,
  now_m: number,
  [first, second]: readonly [number, number],
): { readonly from_s: number; readonly to_s: number; readonly took_s: number; readonly begins_s: number } {
  const passes_s = now_m < extreme_m ? falls_s : rises_s;
  const from_s = passes_s(waiting, extreme_m + first * (now_m - extreme_m));
  const to_s = passes_s(waiting, extreme_m + second * (now_m - extreme_m));
  const took_s = to_s - from_s;
  return { from_s, to_s, took_s, begins_s: from_s - (took_s * first) / (second - first) };
}

/** When the waiting levels last pass `level_m` on their way down. */
function falls_s(waiting: WaitingSamples, level_m: number): number {
  let i = waiting.count - 1;
  while (i > 0 && waitingSmooth_m(waiting, i - 1) < level_m) i -= 1;
  if (i === 0) return waitingTime_s(waiting, 0);
  const [above_m, below_m] = [waitingSmooth_m(waiting, i - 1), waitingSmooth_m(waiting, i)];
  const [from_s, to_s] = [waitingTime_s(waiting, i - 1), waitingTime_s(waiting, i)];
  return above_m > below_m ? from_s + ((to_s - from_s) * (above_m - level_m)) / (above_m - below_m) : to_s;
}

/** When the waiting levels last pass `level_m` on their way up. */
function rises_s(waiting: WaitingSamples, level_m: number): number {
  let i = waiting.count - 1;
  while (i > 0 && waitingSmooth_m(waiting, i - 1) > level_m) i -= 1;
  return waitingTime_s(waiting, i);
}
