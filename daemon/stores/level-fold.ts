// Gathers levels, single or already summed up, into buckets of equal length. Pure; any store may use it.

import type { LevelSeries, Span } from "./store.ts";

export interface LevelFold {
  add(bucket: number, minimum_m: number, maximum_m: number, sum_m: number, levels: number): void;
  /** Levels one by one, as columns; those that are not finite are left out, and those outside the span. */
  addLevels(time_s: Float64Array, level_m: Float64Array, span: Span): void;
  series(): LevelSeries;
}

/** A column each, by bucket. */
interface Buckets {
  readonly origin_s: number;
  readonly bucket_s: number;
  readonly minimum_m: Float64Array;
  readonly maximum_m: Float64Array;
  readonly sum_m: Float64Array;
  readonly levels: Float64Array;
}

/** Bucket 0 begins at `origin_s`; the last is that of `end_s`, and nothing is added before or after. */
export function levelFold(origin_s: number, bucket_s: number, end_s: number): LevelFold {
  const count = Math.floor((end_s - origin_s) / bucket_s) + 1;
  const buckets: Buckets = {
    origin_s,
    bucket_s,
    minimum_m: new Float64Array(count).fill(Number.POSITIVE_INFINITY),
    maximum_m: new Float64Array(count).fill(Number.NEGATIVE_INFINITY),
    sum_m: new Float64Array(count),
    levels: new Float64Array(count),
  };
  return {
    add: (bucket, minimum_m, maximum_m, sum_m, levels) =>
      addToBucket(buckets, bucket, minimum_m, maximum_m, sum_m, levels),
    addLevels: (time_s, level_m, span) => addEach(buckets, time_s, level_m, span),
    series: () => seriesOf(buckets),
  };
}

function addToBucket(
  into: Buckets,
  bucket: number,
  lowest_m: number,
  highest_m: number,
  sum_m: number,
  n: number,
): void {
  if (lowest_m < (into.minimum_m[bucket] as number)) into.minimum_m[bucket] = lowest_m;
  if (highest_m > (into.maximum_m[bucket] as number)) into.maximum_m[bucket] = highest_m;
  into.sum_m[bucket] = (into.sum_m[bucket] as number) + sum_m;
  into.levels[bucket] = (into.levels[bucket] as number) + n;
}

/** A day of readings is some 100,000: nothing here but a bucket's figures. */
function addEach(into: Buckets, time_s: Float64Array, level_m: Float64Array, { from_s, to_s }: Span): void {
  const { origin_s, bucket_s, minimum_m, maximum_m, sum_m, levels } = into;
  for (let i = 0; i < time_s.length; i++) {
    const time = time_s[i] as number;
    const level = level_m[i] as number;
    if (!(time >= from_s && time <= to_s) || !Number.isFinite(level)) continue;
    const bucket = Math.floor((time - origin_s) / bucket_s);
    if (level < (minimum_m[bucket] as number)) minimum_m[bucket] = level;
    if (level > (maximum_m[bucket] as number)) maximum_m[bucket] = level;
    sum_m[bucket] = (sum_m[bucket] as number) + level;
    levels[bucket] = (levels[bucket] as number) + 1;
  }
}

function seriesOf({ origin_s, bucket_s, minimum_m, maximum_m, sum_m, levels }: Buckets): LevelSeries {
  const filled = [...levels.keys()].filter((bucket) => levels[bucket] !== 0);
  const at = (column: Float64Array) => filled.map((bucket) => column[bucket] as number);
  return {
    bucket_s,
    time_s: filled.map((bucket) => origin_s + bucket * bucket_s),
    minimum_m: at(minimum_m),
    maximum_m: at(maximum_m),
    mean_m: filled.map((bucket) => (sum_m[bucket] as number) / (levels[bucket] as number)),
  };
}

/** Each reading as its own entry, in order of time. */
export function levelReadings(time_s: readonly number[], level_m: readonly number[]): LevelSeries {
  const order = [...time_s.keys()].sort((a, b) => (time_s[a] ?? 0) - (time_s[b] ?? 0));
  const levels = order.map((i) => level_m[i] ?? Number.NaN);
  return {
    bucket_s: 0,
    time_s: order.map((i) => time_s[i] ?? Number.NaN),
    minimum_m: levels,
    maximum_m: levels,
    mean_m: levels,
  };
}
