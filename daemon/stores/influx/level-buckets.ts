// Readings' levels summed up by the shared database itself, in buckets of equal length. It sums whole numbers of steps; a
// bucket whose readings differ in their step, or have none, is summed up here.

import type { Span } from "../store.ts";
import { type AskBasin, askByTime } from "./basin-query.ts";
import { numberIn, type Row } from "./line-values.ts";
import { readingsQuery } from "./readings-query.ts";
import { fromSteps } from "./steps.ts";

export interface Bucket {
  readonly from_s: number;
  readonly levels: number;
  readonly minimum_m: number;
  readonly maximum_m: number;
  readonly sum_m: number;
}

/** @param bucket_s whole seconds; buckets begin at multiples of it, and one without a level is left out */
export async function levelBuckets(ask: AskBasin, span: Span, bucket_s: number): Promise<Bucket[]> {
  const select = [
    ...["count(level_m_steps) AS stepped", "min(level_m_steps) AS min", "max(level_m_steps) AS max"],
    ...["mean(level_m_steps) AS mean", "min(level_m_grid) AS grid", "max(level_m_grid) AS lastGrid"],
    "count(level_m) AS others",
  ];
  const rows = await askByTime(ask, { select, from: "reading" }, span, bucket_s);
  const summed = rows.map((row) => ({ row, bucket: ofOneGrid(row) }));
  const odd = new Set(summed.flatMap(({ row, bucket }) => (bucket === null ? [startOf(row)] : [])));
  const read = await byReadings(ask, span, odd, bucket_s);
  return summed.flatMap(({ row, bucket }) => bucket ?? read.get(startOf(row)) ?? []).filter(({ levels }) => levels > 0);
}

function startOf(row: Row): number {
  return (row.time as number) / 1e6;
}

function ofOneGrid(row: Row): Bucket | null {
  const [stepped, min, max, mean, grid] = ["stepped", "min", "max", "mean", "grid"].map((name) => numberIn(row, name));
  if (stepped == null || min == null || max == null || mean == null || grid == null) return null;
  if (grid !== row.lastGrid || (numberIn(row, "others") ?? 0) > 0) return null;
  return {
    from_s: startOf(row),
    levels: stepped,
    minimum_m: fromSteps(grid, min),
    maximum_m: fromSteps(grid, max),
    sum_m: fromSteps(grid, mean) * stepped,
  };
}

/** In one go from the first of them to the last: to ask for each by itself would take far longer. */
async function byReadings(
  ask: AskBasin,
  span: Span,
  starts_s: ReadonlySet<number>,
  bucket_s: number,
): Promise<ReadonlyMap<number, Bucket>> {
  const buckets = new Map<number, Bucket>();
  if (starts_s.size === 0) return buckets;
  const ordered = [...starts_s].sort((a, b) => a - b);
  const [first_s = 0, last_s = 0] = [ordered[0], ordered.at(-1)];
  const within = { from_s: Math.max(first_s, span.from_s), to_s: Math.min(last_s + bucket_s, span.to_s) };
  for await (const some of readingsQuery(ask, within)) {
    for (const { time_s, level_m } of some) {
      const from_s = Math.floor(time_s / bucket_s) * bucket_s;
      if (level_m !== null && starts_s.has(from_s))
        buckets.set(from_s, withLevel(buckets.get(from_s), from_s, level_m));
    }
  }
  return buckets;
}

function withLevel(before: Bucket | undefined, from_s: number, level_m: number): Bucket {
  if (before === undefined) return { from_s, levels: 1, minimum_m: level_m, maximum_m: level_m, sum_m: level_m };
  return {
    from_s,
    levels: before.levels + 1,
    minimum_m: Math.min(before.minimum_m, level_m),
    maximum_m: Math.max(before.maximum_m, level_m),
    sum_m: before.sum_m + level_m,
  };
}
