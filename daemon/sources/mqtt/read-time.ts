// The time in a message: ISO 8601 with an offset, or seconds or milliseconds since 1970. Pure.

import { describeFound } from "../../config/explain-issue.ts";
import { parseDecimal } from "../../recordings/decimal.ts";

export interface UnreadableTime {
  readonly expected: string;
  readonly found: string;
}

const earliest_s = Date.UTC(2000, 0, 1) / 1000;
/** A device's clock may be ahead of the board's by so much. */
const furthestAhead_s = 60;
/** Seconds since 1970 stay below this until the year 5138; milliseconds have been above it since 1973. */
const firstOfMilliseconds = 1e11;

/**
 * @param found what stands where the time should
 * @param now_s time of the board, seconds
 * @returns seconds since 1970 UTC, or what is wrong
 */
export function readTime(found: unknown, now_s: number): number | UnreadableTime {
  const time_s =
    typeof found === "string" ? (fromNumber(parseDecimal(found.trim())) ?? fromIso(found)) : fromNumber(found);
  if (time_s === undefined) {
    return {
      expected: "a time, as ISO 8601 with an offset or as seconds or milliseconds since 1970",
      found: describeFound(found),
    };
  }
  if (time_s < earliest_s) return { expected: "a time after the year 2000", found: describeFound(found) };
  if (time_s > now_s + furthestAhead_s) {
    const ahead_s = Math.round(time_s - now_s);
    return {
      expected: "a time that has come",
      found: `${describeFound(found)}, ${ahead_s} s ahead of the board's clock`,
    };
  }
  return time_s;
}

function fromNumber(value: unknown): number | undefined {
  if (typeof value !== "number" || !Number.isFinite(value)) return undefined;
  return value >= firstOfMilliseconds ? value / 1000 : value;
}

function fromIso(text: string): number | undefined {
  try {
    return Temporal.Instant.from(text.trim()).epochMilliseconds / 1000;
  } catch {
    return undefined;
  }
}
