// When a run began and ended where readings stand too far apart to show it: where the line along which the level falls
// meets those along which it rises before and after. How fast it falls is learned from run to run.

import { type WaitingSamples, waitingLevel_m, waitingTime_s } from "../waiting-samples.ts";

export interface Point {
  readonly time_s: number;
  readonly level_m: number;
}

export interface FallingLevel {
  /** By how much the latest runs lowered the level, and in what time, on the average; of how many runs. */
  fall_m: number;
  took_s: number;
  runs: number;
  /** … and by how much they would have, had nothing come in meanwhile. */
  pumped_m: number;
  /** How fast the level rose in the latest rest; 0 before that is known. */
  rise_ms: number;
  /** The first reading after the latest turn, and how fast the level rose from there, as far as that was seen; null: it was not. */
  rising: Point | null;
  rises_ms: number;
  /** The rest before the run under way held readings enough to show what the run does to the level. */
  calm: boolean;
  /** … and so few that much comes in. */
  quick: boolean;
  /** The first reading after the latest run, or the last in it. */
  stopped: Point | null;
  /** Of the run under way: the last reading before it; those within, how many, and the first and last of them. */
  before: Point | null;
  within: number;
  first: Point | null;
  last: Point | null;
}

export function newFallingLevel(): FallingLevel {
  return { fall_m: 0, took_s: 0, runs: 0, pumped_m: 0, ...noCourse() };
}

/** After a gap the rest before is not known. */
export function forgetCourse(fall: FallingLevel): void {
  Object.assign(fall, noCourse());
}

function noCourse() {
  const restBefore = { rise_ms: 0, calm: false, quick: false, stopped: null, rising: null, rises_ms: 0 };
  return { ...restBefore, before: null, within: 0, first: null, last: null };
}

/** The `i`th that waits, as it was read. */
export function sampleAt(waiting: WaitingSamples, i: number): Point {
  return { time_s: waitingTime_s(waiting, i), level_m: waitingLevel_m(waiting, i) };
}

/** In a shorter rest, of so many readings, rests and runs are as one. */
const fewestInRest = 6;

/** In a rest of no more so much comes in that a run falls by less than those that taught how they fall. Judgement, no source. */
const mostInQuickRest = 12;

export function isQuickRest({ stopped }: FallingLevel, before: Point, next: Point): boolean {
  return stopped !== null && before.time_s - stopped.time_s < mostInQuickRest * (next.time_s - before.time_s);
}

/** A run has begun after this reading, and before the next. */
export function beginFall(fall: FallingLevel, before: Point, next: Point): void {
  const { stopped } = fall;
  const apart_s = next.time_s - before.time_s;
  fall.calm = stopped !== null && before.time_s - stopped.time_s >= fewestInRest * apart_s;
  fall.quick = isQuickRest(fall, before, next);
  if (stopped !== null && before.time_s > stopped.time_s)
    fall.rise_ms = Math.max(0, (before.level_m - stopped.level_m) / (before.time_s - stopped.time_s));
  Object.assign(fall, { before, within: 0, first: null, last: null });
}

/** The oldest `count` that wait lie within the run. */
export function noteWithin(fall: FallingLevel, waiting: WaitingSamples, count: number): void {
  if (count <= 0) return;
  fall.within += count;
  fall.first ??= sampleAt(waiting, 0);
  fall.last = sampleAt(waiting, count - 1);
}

/** So much of the swing between the floats is all of it. */
const wholeSwing = 0.9;

/** When a run began, between the last reading before it and the next. */
export function beginsAt_s(fall: FallingLevel, before: Point, next: Point, swing_m: number | null): number {
  const middle_s = (before.time_s + next.time_s) / 2;
  if (!isKnown(fall)) return middle_s;
  // The whole of it went by between the two: as likely soon after the one as soon before the other.
  if (swing_m !== null && before.level_m - next.level_m > wholeSwing * swing_m)
    return middle_s - tookBetween_s(fall, before, next) / 2;
  return between_s(before, next, meet_s(fall, before, next));
}

/**
 * When it ended, before the first reading that is down; takes the run in where it left less water than there was.
 *
 * @param next_s the reading after that one
 */
export function stopsAt_s(
  fall: FallingLevel,
  startedAt_s: number,
  down: Point,
  next_s: number,
  teaches: boolean,
): number {
  const { before, last } = fall;
  fall.stopped = down;
  if (before === null) return down.time_s;
  if (!fall.calm) return last === null ? (down.time_s + next_s) / 2 : (last.time_s + down.time_s) / 2;
  if (teaches) learn(fall, before, down);
  if (last !== null)
    return isKnown(fall) ? between_s(last, down, meet_s(fall, down, last)) : (last.time_s + down.time_s) / 2;
  const length_s = isKnown(fall) ? tookBetween_s(fall, before, down) : (down.time_s - before.time_s) / 2;
  return Math.min(down.time_s, startedAt_s + length_s);
}

/** So many readings within a run are not all of its ends; and of fewer, one that lies so much of the fall off either. */
const surelyWithin = 3;
const offTheEnds = 0.1;

/** A reading lay within the latest run: what is asked as seldom as the level may have been asked before and after it only. */
export function wasReadWithin({ calm, before, stopped, within, first, last }: FallingLevel): boolean {
  if (!calm || before === null || stopped === null) return false;
  const least_m = offTheEnds * (before.level_m - stopped.level_m);
  const isBetween = (point: Point | null) =>
    point !== null && before.level_m - point.level_m > least_m && point.level_m - stopped.level_m > least_m;
  return within >= surelyWithin || isBetween(first) || isBetween(last);
}

/** A memory of so many runs. */
const memory = 50;
const fewestRuns = 4;
/** What runs alike in how they fall among the readings leave, as a share; and what is no use any more. Judgement, no source. */
const uPace = 0.05;
const vaguePace = 0.2;

/**
 * Two readings or more within a run tell how long it took. Of runs with fewer, as many lie within them on the average as
 * intervals between readings go into a run.
 */
function learn(fall: FallingLevel, before: Point, down: Point): void {
  const { within, first, last } = fall;
  const fall_m = before.level_m - down.level_m;
  const apart_s = down.time_s - before.time_s;
  // By a coarse step or by noise they may be alike, or lie the other way: then they tell nothing.
  const seen = within >= 2 && first !== null && last !== null && first.level_m > last.level_m;
  const took_s = seen
    ? Math.min(apart_s, (fall_m * (last.time_s - first.time_s)) / (first.level_m - last.level_m))
    : (within * apart_s) / (within + 1);
  fall.runs += 1;
  const share = 1 / Math.min(memory, fall.runs);
  fall.fall_m += share * (fall_m - fall.fall_m);
  fall.took_s += share * (took_s - fall.took_s);
  fall.pumped_m += share * (fall_m + fall.rise_ms * took_s - fall.pumped_m);
}

/** About what the pump moves, as metres of level a second with its standard uncertainty, by how runs lower it; null before. */
export function pumpedPace({ pumped_m, took_s, runs }: FallingLevel, interval_s: number) {
  if (runs < fewestRuns || !(took_s > 0 && interval_s > 0)) return null;
  const pace_ms = pumped_m / took_s;
  // Each run is seen too long or too short by about half an interval.
  const share = Math.hypot(uPace, interval_s / 2 / took_s / Math.sqrt(Math.min(memory, runs)));
  return share < vaguePace ? { pace_ms, uPace_ms: share * pace_ms } : null;
}

function isKnown({ calm, took_s, runs }: FallingLevel): boolean {
  return calm && runs >= fewestRuns && took_s > 0;
}

/** Where the line of the fall through `falling` meets that of the rise through `rising`. */
function meet_s({ fall_m, took_s, rise_ms }: FallingLevel, rising: Point, falling: Point): number {
  const fall_ms = fall_m / took_s;
  const apart_m = falling.level_m - rising.level_m + fall_ms * falling.time_s + rise_ms * rising.time_s;
  return apart_m / (fall_ms + rise_ms);
}

/** How long a run took that began and ended between two readings. */
function tookBetween_s({ fall_m, took_s, rise_ms }: FallingLevel, before: Point, down: Point): number {
  const fall_ms = fall_m / took_s;
  const apart_s = down.time_s - before.time_s;
  return Math.min(apart_s, (before.level_m - down.level_m + rise_ms * apart_s) / (fall_ms + rise_ms));
}

function between_s({ time_s: from_s }: Point, { time_s: to_s }: Point, time_s: number): number {
  return Math.min(to_s, Math.max(from_s, time_s));
}
