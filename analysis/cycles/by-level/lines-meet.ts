// Where noise hides a turn: when the level turned, by the two lines, one before and one after, that meet where they leave
// least of the samples on both sides (least squares).

import { type WaitingSamples, waitingLevel_m, waitingSmooth_m, waitingTime_s } from "../waiting-samples.ts";
import { mostBeside } from "./level-runs-state.ts";

export interface LinesMeet {
  readonly at_s: number;
  /** How many of those that wait surely lie before; and how many after those may lie on either side. */
  readonly before: number;
  readonly unsure: number;
}

/** On either side of where they meet so many samples at least make a line. */
const fewestBeside = 2;
/** Where they meet, how high, and the slope of either. */
const unknowns = 4;
/** Between two samples it is looked for in so many steps. */
const steps = 4;

/**
 * @param about  it turns about this one of those that wait
 * @param most_m a sample that lies further off the level freed of noise is a spike, and that level stands for it
 * @param turns  upwards: 1, downwards: -1
 * @returns null where too few samples wait, or do not turn so
 */
export function linesMeet(waiting: WaitingSamples, about: number, most_m: number, turns: 1 | -1): LinesMeet | null {
  const from = Math.max(0, about - mostBeside);
  const to = Math.min(waiting.count, about + mostBeside);
  if (to - from < 2 * fewestBeside) return null;
  const { time_s, level_m } = takePart(waiting, from, to, most_m);
  const last = time_s.length - fewestBeside;
  let [least, at_s] = [Number.POSITIVE_INFINITY, Number.NaN];
  const tryAt = (try_s: number) => {
    const left = leftByLines(time_s, level_m, try_s, turns);
    if (left < least) [least, at_s] = [left, try_s];
  };
  let nearest = fewestBeside - 1;
  for (let k = nearest; k <= last; k += 1) {
    tryAt(time_s[k] as number);
    if (at_s === time_s[k]) nearest = k;
  }
  for (const k of [nearest - 1, nearest]) {
    if (k < fewestBeside - 1 || k >= last) continue;
    const [left_s, right_s] = [time_s[k] as number, time_s[k + 1] as number];
    for (let i = 1; i < steps; i += 1) tryAt(left_s + (i * (right_s - left_s)) / steps);
  }
  if (Number.isNaN(at_s)) return null;
  // Within one standard deviation of where they meet, least squares grow by one variance of a sample.
  const most = least * (1 + 1 / Math.max(1, time_s.length - unknowns));
  const mayBe = (k: number) => leftByLines(time_s, level_m, time_s[k] as number, turns) <= most;
  let before = from;
  while (before < to && (time_s[before - from] as number) <= at_s) before += 1;
  let after = before;
  while (before - from > fewestBeside && mayBe(before - from - 1)) before -= 1;
  while (after < to - fewestBeside && mayBe(after - from)) after += 1;
  return { at_s: waitingTime_s(waiting, from) + at_s, before, unsure: after - before };
}

/** Counted from the first, for the sake of the sums' digits. */
function takePart(waiting: WaitingSamples, from: number, to: number, most_m: number) {
  const [time_s, level_m] = [new Float64Array(to - from), new Float64Array(to - from)];
  const [first_s, first_m] = [waitingTime_s(waiting, from), waitingSmooth_m(waiting, from)];
  for (let i = from; i < to; i += 1) {
    const [read_m, smooth_m] = [waitingLevel_m(waiting, i), waitingSmooth_m(waiting, i)];
    time_s[i - from] = waitingTime_s(waiting, i) - first_s;
    level_m[i - from] = (Math.abs(read_m - smooth_m) > most_m ? smooth_m : read_m) - first_m;
  }
  return { time_s, level_m };
}

/** Sum of squares that two lines leave which meet at `at_s`; Infinity where one of them has no length, or they turn the other way. */
function leftByLines(time_s: Float64Array, level_m: Float64Array, at_s: number, turns: 1 | -1): number {
  let [y, yy] = [0, 0];
  // Of either line: sums of the time from where they meet, its square, and its product with the level.
  let [before, beforeTwice, beforeLevel] = [0, 0, 0];
  let [after, afterTwice, afterLevel] = [0, 0, 0];
  for (let i = 0; i < time_s.length; i += 1) {
    const off_s = (time_s[i] as number) - at_s;
    const one_m = level_m[i] as number;
    y += one_m;
    yy += one_m * one_m;
    if (off_s < 0) {
      before += off_s;
      beforeTwice += off_s * off_s;
      beforeLevel += off_s * one_m;
    } else {
      after += off_s;
      afterTwice += off_s * off_s;
      afterLevel += off_s * one_m;
    }
  }
  if (!(beforeTwice > 0 && afterTwice > 0)) return Number.POSITIVE_INFINITY;
  const weight = time_s.length - (before * before) / beforeTwice - (after * after) / afterTwice;
  const meet_m = (y - (before * beforeLevel) / beforeTwice - (after * afterLevel) / afterTwice) / weight;
  const before_ms = (beforeLevel - before * meet_m) / beforeTwice;
  const after_ms = (afterLevel - after * meet_m) / afterTwice;
  const falls_ms = turns === 1 ? before_ms : after_ms;
  if (!(falls_ms < 0 && turns * (after_ms - before_ms) > 0)) return Number.POSITIVE_INFINITY;
  return yy - meet_m * y - before_ms * beforeLevel - after_ms * afterLevel;
}
