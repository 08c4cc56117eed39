// When the level turned by what the float has said beside it: between the two readings in which they changed, where
// that lies no further from where the level turns than noise hides. Elsewhere, or where they say nothing, the level decides.

import { type WaitingSamples, waitingTime_s } from "../waiting-samples.ts";

/** From then on contact or float has said: the pump runs, or rests. */
export interface Said {
  readonly time_s: number;
  readonly on: boolean;
}

export interface ToldTurn {
  /** The last reading of a level before they said otherwise, and the first reading at which they did. */
  readonly after_s: number;
  readonly by_s: number;
  /** How many of those that wait lie before that. */
  readonly before: number;
}

/** Where the level alone has it turn. */
export interface SeenTurn {
  readonly at_s: number;
  /** By so much noise may have moved that, beside the time between two readings. */
  readonly unsure_s: number;
  /** The last level before those that wait. */
  readonly latest_s: number;
}

/** @returns null where they said nothing of it so near, or the levels about that wait no longer */
export function turnAsTold(
  told: readonly Said[] | undefined,
  on: boolean,
  waiting: WaitingSamples,
  { at_s, unsure_s, latest_s }: SeenTurn,
): ToldTurn | null {
  const by_s = nearest_s(told ?? [], on, at_s);
  const before = countBefore(waiting, by_s);
  const after_s = before > 0 ? waitingTime_s(waiting, before - 1) : latest_s;
  if (!(after_s < by_s && before < waiting.count)) return null;
  const interval_s = waitingTime_s(waiting, before) - after_s;
  return Math.max(after_s - at_s, at_s - by_s) <= unsure_s + interval_s ? { after_s, by_s, before } : null;
}

function nearest_s(told: readonly Said[], on: boolean, at_s: number): number {
  let nearest_s = Number.NaN;
  for (const { time_s, on: said } of told)
    if (said === on && !(Math.abs(time_s - at_s) > Math.abs(nearest_s - at_s))) nearest_s = time_s;
  return nearest_s;
}

/** Since when they say so; NaN where they say otherwise, or nothing. */
export function saidSince_s(told: readonly Said[] | undefined, on: boolean): number {
  const last = told?.at(-1);
  return last?.on === on ? last.time_s : Number.NaN;
}

/** Where the level has it turn, if that lies between the two readings; else the nearer of them. */
export function between_s({ after_s, by_s }: ToldTurn, at_s: number): number {
  return Number.isNaN(at_s) ? (after_s + by_s) / 2 : Math.min(by_s, Math.max(after_s, at_s));
}

/** How many of those that wait were read before that. */
export function countBefore(waiting: WaitingSamples, time_s: number): number {
  let count = 0;
  while (waitingTime_s(waiting, count) < time_s) count += 1;
  return count;
}
