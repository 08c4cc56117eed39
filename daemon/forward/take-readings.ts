// The next readings of a record as points, and the sums of their levels.

import type { Reading } from "../../analysis/readings/reading.ts";
import { type LevelSum, levelSumPoint, levelSums, type Point, readingEncoder } from "../stores/influx/points.ts";
import type { Span } from "../stores/store.ts";
import type { ReadingsState } from "./forward-place.ts";
import type { Limits } from "./record-queue.ts";

export interface TakenReadings {
  readonly points: readonly Point[];
  /** Readings that were taken, and of them those that are not sent. */
  readonly taken: number;
  readonly unclocked: number;
  /** Time of the next one, where that is later than it may be. */
  readonly ahead_s: number | null;
  readonly after: ReadingsState;
}

/** @param missing what the record has nothing of, and the database may: sums that reach into it are not sent */
export function takeSome(
  readings: Iterator<Reading>,
  basin: string,
  before: Partial<ReadingsState>,
  { most, earliest_s, latest_s }: Limits,
  missing: Span | null,
): TakenReadings {
  const isWhole = ({ from_s, length_s }: LevelSum) =>
    missing === null || from_s >= missing.to_s || from_s + length_s <= missing.from_s;
  const encoder = readingEncoder(basin, before.encoder);
  const sums = levelSums(before.sums);
  const points: Point[] = [];
  let taken = 0;
  let unclocked = 0;
  let ahead_s: number | null = null;
  while (taken < most && ahead_s === null) {
    const { value: reading, done } = readings.next();
    if (done === true) break;
    if (reading.time_s > latest_s) {
      ahead_s = reading.time_s;
      break;
    }
    taken++;
    if (reading.time_s < earliest_s) {
      unclocked++;
      continue;
    }
    points.push(encoder.point(reading));
    for (const sum of sums.add(reading)) if (isWhole(sum)) points.push(levelSumPoint(basin, sum));
  }
  const after = { encoder: encoder.state(), sums: sums.state() };
  // Once a minute as they stand, so that the present ten minutes and the day are there too.
  if (isAnotherMinute(before.encoder?.last_s, after.encoder.last_s)) {
    for (const sum of sums.soFar()) if (isWhole(sum)) points.push(levelSumPoint(basin, sum));
  }
  return { points, taken, unclocked, ahead_s, after };
}

function isAnotherMinute(before_s: number | null | undefined, now_s: number | null): boolean {
  return now_s !== null && Math.floor(now_s / 60) !== Math.floor((before_s ?? 0) / 60);
}
