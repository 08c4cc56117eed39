// Readings' levels summed up by the shared database itself, in buckets of equal length. It sums whole numbers of steps; a
// bucket whose readings differ in their step, or have none, is summed up here.

import type { Span } from "../store.ts";
import type { AskBasin } from "./basin-query.ts";
import { timeCondition } from "./instant.ts";
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
  const rows = await ask({
    select: [
      ...["count(level_m_steps) AS stepped", "min(level_m_steps) AS min", "max(level_m_steps) AS max"],
      ...["mean(level_m_steps) AS mean", "min(level_m_grid) AS grid", "max(level_m_grid) AS lastGrid"],
      "count(level_m) AS others",
    ],
    from: "reading",
    where: timeCondition(span.from_s, span.to_s),
    rest: `GROUP BY time(${bucket_s}s) fill(none)`,
  });
  const buckets: Bucket[] = [];
  for (const row of rows) {
    const bucket = ofOneGrid(row) ?? (await byReadings(ask, span, row, bucket_s));
    if (bucket !== null && bucket.levels > 0) buckets.push(bucket);
  }
  return buckets;
}

function ofOneGrid(row: Row): Bucket | null {
  const [stepped, min, max, mean, grid] = ["stepped", "min", "max", "mean", "grid"].map((name) => numberIn(row, name));
  if (stepped == null || min == null || max == null || mean == null || grid == null) return null;
  if (grid !== row.lastGrid || (numberIn(row, "others") ?? 0) > 0) return null;
  return {
    from_s: (row.time as number) / 1e6,
    levels: stepped,
    minimum_m: fromSteps(grid, min),
    maximum_m: fromSteps(grid, max),
    sum_m: fromSteps(grid, mean) * stepped,
  };
}

async function byReadings(ask: AskBasin, span: Span, row: Row, bucket_s: number): Promise<Bucket | null> {
  const from_s = (row.time as number) / 1e6;
  const within = { from_s: Math.max(from_s, span.from_s), to_s: Math.min(from_s + bucket_s, span.to_s) };
  let [levels, minimum_m, maximum_m, sum_m] = [0, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0];
  for await (const some of readingsQuery(ask, within)) {
    for (const { time_s, level_m } of some) {
      if (level_m === null || time_s >= from_s + bucket_s) continue;
      levels++;
      minimum_m = Math.min(minimum_m, level_m);
      maximum_m = Math.max(maximum_m, level_m);
      sum_m += level_m;
    }
  }
  return levels === 0 ? null : { from_s, levels, minimum_m, maximum_m, sum_m };
}
