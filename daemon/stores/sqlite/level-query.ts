// Level over any span in at most so many points: from the readings while those are few, else from the roll-up that is
// just fine enough. A month of minutes or ten years of hours are folded in some tens of milliseconds.

import type { Reading } from "../../../analysis/readings/reading.ts";
import { levelFold, levelReadings } from "../level-fold.ts";
import type { LevelSeries, Span } from "../store.ts";
import type { Extent } from "./bucket-table.ts";
import type { ReadingTable } from "./reading-table.ts";
import type { Rollup, Rollups } from "./rollups.ts";

/** So many rows are read for one answer at most; more come from a roll-up. */
const mostRows = 100_000;

export interface LevelParts {
  readonly readings: ReadingTable;
  readonly rollups: Rollups;
  /** Readings that are not rows yet. */
  readonly waiting: readonly Reading[];
}

/**
 * @param span   within the record
 * @param points at least 2
 */
export function levelQuery(parts: LevelParts, span: Span, points: number): LevelSeries {
  const waiting = parts.waiting.filter((r) => isLevel(r.level_m) && r.time_s >= span.from_s && r.time_s <= span.to_s);
  // One part less than asked for, because parts are aligned to the clock and the span is not.
  const ideal_s = Math.max((span.to_s - span.from_s) / (points - 1), 0.001);
  const minutes = parts.rollups.minutes();
  const hours = parts.rollups.hours();

  const few = extentOf(hours, span).levels + waiting.length <= points;
  // Twice as coarse as asked for is still finer than the eye, and saves reading sixty rows for every bucket.
  if (few || ideal_s < minutes.bucket_s / 2) {
    const rows = extentOf(few ? hours : minutes, span);
    if (rows.lastNth - rows.firstNth < mostRows) return fromReadings(parts, span, rows, waiting, points, ideal_s);
  }
  return fromRollup(ideal_s < hours.bucket_s / 2 ? minutes : hours, span, waiting, ideal_s);
}

function fromReadings(
  { readings }: LevelParts,
  span: Span,
  rows: Extent,
  waiting: readonly Reading[],
  points: number,
  ideal_s: number,
): LevelSeries {
  const { time_s, level_m } = readings.levels(rows.firstNth, rows.lastNth, span.from_s, span.to_s);
  for (const reading of waiting) {
    time_s.push(reading.time_s);
    level_m.push(reading.level_m ?? Number.NaN);
  }
  if (time_s.length <= points) return levelReadings(time_s, level_m);

  const bucket_s = ideal_s > 1 ? Math.ceil(ideal_s) : ideal_s; // whole seconds suit readings that come by the second
  const fold = levelFold(Math.floor(span.from_s / bucket_s) * bucket_s, bucket_s);
  for (const [i, time] of time_s.entries()) fold.addLevel(time, level_m[i] ?? Number.NaN);
  return fold.series();
}

function fromRollup(rollup: Rollup, span: Span, waiting: readonly Reading[], ideal_s: number): LevelSeries {
  const perGroup = Math.max(1, Math.ceil(ideal_s / rollup.bucket_s));
  const { from, to } = bucketsOf(rollup, span);
  const origin = Math.floor(from / perGroup) * perGroup;
  const fold = levelFold(origin * rollup.bucket_s, perGroup * rollup.bucket_s);

  for (const g of rollup.table.groups(origin, from, to, [...rollup.open.keys()], perGroup)) {
    fold.add(g.group, g.minimum_m, g.maximum_m, g.sum_m, g.levels);
  }
  for (const b of rollup.open.values()) {
    if (b.bucket < from || b.bucket > to || b.minimum_m === null || b.maximum_m === null) continue;
    fold.add(Math.floor((b.bucket - origin) / perGroup), b.minimum_m, b.maximum_m, b.sum_m, b.levels);
  }
  for (const { time_s, level_m } of waiting) fold.addLevel(time_s, level_m ?? Number.NaN);
  return fold.series();
}

/** How many levels the span's buckets hold, and the rows they stand in. */
function extentOf(rollup: Rollup, span: Span): Extent {
  const { from, to } = bucketsOf(rollup, span);
  const none = { levels: 0, firstNth: Number.POSITIVE_INFINITY, lastNth: 0 };
  let extent: Extent = rollup.table.extent(from, to, [...rollup.open.keys()]) ?? none;
  for (const b of rollup.open.values()) {
    if (b.bucket < from || b.bucket > to) continue;
    extent = {
      levels: extent.levels + b.levels,
      firstNth: Math.min(extent.firstNth, b.firstNth),
      lastNth: Math.max(extent.lastNth, b.lastNth),
    };
  }
  return extent;
}

function bucketsOf(rollup: Rollup, span: Span): { from: number; to: number } {
  return { from: Math.floor(span.from_s / rollup.bucket_s), to: Math.floor(span.to_s / rollup.bucket_s) };
}

function isLevel(level_m: number | null): boolean {
  return level_m !== null && Number.isFinite(level_m);
}
