// When the level turned where a rest holds but a few readings, and what came in shows in each: the line along which it falls
// meets that along which it rises, both by this very run and rest. The reading at the turn itself may lie on either.

import { type WaitingSamples, waitingTime_s } from "../waiting-samples.ts";
import { type FallingLevel, isQuickRest, type Point, sampleAt } from "./falling-level.ts";
import { countUpTo } from "./level-turns.ts";

/**
 * When the pump stopped; null where the run or the rise after it holds too few readings. What it tells of the rise is kept for
 * the start after it.
 *
 * @param lowestAt_s when the lowest of those that wait was read
 */
export function stopByLines(fall: FallingLevel, waiting: WaitingSamples, lowestAt_s: number): number | null {
  const { first, last } = fall;
  const up = countUpTo(waiting, lowestAt_s);
  fall.rising = null;
  if (first === null || last === null || up > waiting.count - 2) return null;
  const [rising, risen] = [sampleAt(waiting, up), sampleAt(waiting, waiting.count - 1)];
  const rises_ms = pace_ms(rising, risen);
  const falls_ms = -pace_ms(first, last);
  if (!(rises_ms > 0)) return null;
  fall.rising = rising;
  fall.rises_ms = rises_ms;
  if (!fall.quick || !(falls_ms > 0)) return null;
  return within(last.time_s, rising.time_s, meet_s(rising, rises_ms, last, falls_ms));
}

/**
 * When the pump started, no more than one reading before the last that seems to be up; null where the rest was no quick one, or
 * the fall holds too few readings.
 *
 * @param up so many of those that wait seem to be up
 */
export function startByLines(fall: FallingLevel, waiting: WaitingSamples, up: number): number | null {
  const { rising, rises_ms } = fall;
  if (rising === null || up < 1 || up > waiting.count - 3) return null;
  const [before, first, last] = [up - 1, up, waiting.count - 1].map((i) => sampleAt(waiting, i)) as [
    Point,
    Point,
    Point,
  ];
  const falls_ms = -pace_ms(first, last);
  if (!isQuickRest(fall, before, first) || !(falls_ms > 0)) return null;
  const earliest_s = Math.max(rising.time_s, 2 * before.time_s - first.time_s);
  return within(earliest_s, first.time_s, meet_s(rising, rises_ms, first, falls_ms));
}

/** The last reading before the start, be it one that has been let go and stood on the line of the rise. */
export function lastBefore(fall: FallingLevel, waiting: WaitingSamples): Point {
  const { rising, rises_ms } = fall;
  const [first_s, next_s] = [waitingTime_s(waiting, 0), waitingTime_s(waiting, 1)];
  const time_s = 2 * first_s - next_s;
  return { time_s, level_m: (rising?.level_m ?? Number.NaN) + rises_ms * (time_s - (rising?.time_s ?? time_s)) };
}

function pace_ms(from: Point, to: Point): number {
  return (to.level_m - from.level_m) / (to.time_s - from.time_s);
}

function meet_s(rising: Point, rises_ms: number, falling: Point, falls_ms: number): number {
  const apart_m = falling.level_m - rising.level_m + falls_ms * falling.time_s + rises_ms * rising.time_s;
  return apart_m / (falls_ms + rises_ms);
}

function within(from_s: number, to_s: number, time_s: number): number {
  return Math.min(to_s, Math.max(from_s, time_s));
}
