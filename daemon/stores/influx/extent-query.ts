// From when to when a basin's record goes in the shared database, and from when its single readings are still there.

import type { Span } from "../store.ts";
import type { AskBasin } from "./basin-query.ts";
import { readingColumns, readingIn } from "./reading-points.ts";

export interface ExtentThere {
  readonly record: Span;
  /** The oldest reading that is still there; ∞ when there is none. */
  readonly readingsFrom_s: number;
}

const part_s = 600;

/** Null when the database has nothing of the basin. */
export async function extentQuery(ask: AskBasin): Promise<ExtentThere | null> {
  const [first, last, sums] = await Promise.all([oneReading(ask, "ASC"), oneReading(ask, "DESC"), sumsOf(ask)]);
  if (first === null || last === null) {
    return sums === null ? null : { record: sums, readingsFrom_s: Number.POSITIVE_INFINITY };
  }
  // Sums begin on the clock's ten minutes: older than the first reading only where older readings have been dropped.
  const older = sums !== null && sums.from_s < Math.floor(first / part_s) * part_s;
  return { record: { from_s: older ? sums.from_s : first, to_s: last }, readingsFrom_s: first };
}

async function oneReading(ask: AskBasin, order: "ASC" | "DESC"): Promise<number | null> {
  const [row] = await ask({ select: readingColumns, from: "reading", rest: `ORDER BY time ${order} LIMIT 1` });
  return row === undefined ? null : readingIn(row).time_s;
}

async function sumsOf(ask: AskBasin): Promise<Span | null> {
  const [first, last] = await Promise.all(
    ["ASC", "DESC"].map((order) =>
      ask({ select: ["levels"], from: "level_10m", rest: `ORDER BY time ${order} LIMIT 1` }),
    ),
  );
  const [from, to] = [first?.[0]?.time, last?.[0]?.time];
  return typeof from === "number" && typeof to === "number" ? { from_s: from / 1e6, to_s: to / 1e6 + part_s } : null;
}
