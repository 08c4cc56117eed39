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

/** A day of readings is some 100,000: bucket by bucket, and within one nothing but a look at time and level. */
function addEach(into: Buckets, time_s: Float64Array, level_m: Float64Array, { from_s, to_s }: Span): void {
  const { origin_s, bucket_s } = into;
  for (let i = 0; i < time_s.length; ) {
    const time = time_s[i] as number;
    if (!(time >= from_s && time <= to_s)) {
      i++;
      continue;
    }
    const bucket = Math.floor((time - origin_s) / bucket_s);
    const end_s = Math.min(origin_s + (bucket + 1) * bucket_s, to_s);
    i = addRun(into, bucket, time_s, level_m, i, end_s);
  }
}

/** Readings from `begin` on, as long as time goes onwards to the end of the bucket; returns the place of the next. */
function addRun(
  into: Buckets,
  bucket: number,
  time_s: Float64Array,
  level_m: Float64Array,
  begin: number,
  end_s: number,
): number {
  let minimum_m = into.minimum_m[bucket] as number;
  let maximum_m = into.maximum_m[bucket] as number;
  let sum_m = into.sum_m[bucket] as number;
  let levels = into.levels[bucket] as number;
  let last_s = time_s[begin] as number;
  let i = begin;
  do {
    const level = level_m[i] as number;
    if (Number.isFinite(level)) {
      if (level < minimum_m) minimum_m = level;
      if (level > maximum_m) maximum_m = level;
      sum_m += level;
      levels++;
    }
    i++;
    const time = time_s[i] as number;
    if (!(time >= last_s && time < end_s)) break;
    last_s = time;
  } while (i < time_s.length);
  into.minimum_m[bucket] = minimum_m;
  into.maximum_m[bucket] = maximum_m;
  into.sum_m[bucket] = sum_m;
  into.levels[bucket] = levels;
  return i;
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
