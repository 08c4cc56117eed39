// Times in seconds as the database's whole nanoseconds, and back to the very same double. Answers are asked for in
// microseconds, which a double holds exactly until the year 2255; nanoseconds tell apart what came at the same instant.

import { type Fields, lineFloat, numberIn, type Row } from "./line-values.ts";

/** The database's own bounds, a day inside. */
const earliest_s = -9_223_286_400;
const latest_s = 9_007_199_000;

/** Nanoseconds since 1970, as text: they are more than a double can tell apart. */
export function nanoseconds(time_s: number, later_ns = 0): string {
  if (!(time_s >= earliest_s && time_s <= latest_s)) {
    throw new RangeError(`time_s is ${time_s}; the database takes times from 1677 to 2255`);
  }
  return String(BigInt(Math.round(time_s * 1e6)) * 1000n + BigInt(later_ns));
}

/**
 * Time stamp of a point, and into its fields the time itself where a stamp cannot say it.
 * @param before points of the same series that have this very time and were written earlier
 */
export function stamp(fields: Fields, name: string, time_s: number, before = 0): string {
  const at_us = Math.round(time_s * 1e6) + Math.floor(before / 1000);
  if (at_us / 1e6 !== time_s) fields[name] = lineFloat(time_s);
  return nanoseconds(time_s, before);
}

/** @param row with `time` in microseconds */
export function timeIn(row: Row, name: string): number {
  return numberIn(row, name) ?? (row.time as number) / 1e6;
}

/** A condition on `time` that holds for the points of the span, to the microsecond. */
export function timeCondition(from_s: number, to_s: number): string {
  return `time >= ${firstOf(from_s)} AND time <= ${firstOf(to_s).slice(0, -3)}999`;
}

/** The first nanosecond of that microsecond; of the earliest and the latest that the database knows for times beyond. */
export function firstOf(time_s: number): string {
  return nanoseconds(Math.min(Math.max(time_s, earliest_s), latest_s));
}
