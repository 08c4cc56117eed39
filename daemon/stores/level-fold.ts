// Gathers levels, single or already summed up, into buckets of equal length. Pure; any store may use it.

import type { LevelSeries, Span } from "./store.ts";

export interface LevelFold {
  /** Bucket 0 begins here. */
  readonly origin_s: number;
  readonly bucket_s: number;
  /** How many buckets there are. */
  readonly length: number;
  add(bucket: number, minimum_m: number, maximum_m: number, sum_m: number, levels: number): void;
  /** Levels one by one, as columns; those that are not finite are left out, and those outside the span. */
  addLevels(time_s: Float64Array, level_m: Float64Array, span: Span): void;
  /** All of another, each of whose buckets lies within one of these. */
  addFold(other: LevelFold): void;
  /** Each bucket that has levels, as `add` takes it. */
  each(take: LevelFold["add"]): void;
  /** How many levels were added. */
  levels(): number;
  series(): LevelSeries;
}

/** A column each, by bucket. */
interface Buckets {
  readonly minimum_m: Float64Array;
  readonly maximum_m: Float64Array;
  readonly sum_m: Float64Array;
  readonly levels: Float64Array;
}

/** Readings `begin` to before `end`, all of that bucket. */
export type TakeRun = (bucket: number, begin: number, end: number) => void;

/** Bucket 0 begins at `origin_s`; the last is that of `end_s`, and nothing is added before or after. */
export function levelFold(origin_s: number, bucket_s: number, end_s: number): LevelFold {
  const count = Math.floor((end_s - origin_s) / bucket_s) + 1;
  const buckets: Buckets = {
    minimum_m: new Float64Array(count).fill(Number.POSITIVE_INFINITY),
    maximum_m: new Float64Array(count).fill(Number.NEGATIVE_INFINITY),
    sum_m: new Float64Array(count),
    levels: new Float64Array(count),
  };
  const shape = { origin_s, bucket_s };
  return {
    ...shape,
    length: count,
    add: (bucket, minimum_m, maximum_m, sum_m, levels) =>
      addToBucket(buckets, bucket, minimum_m, maximum_m, sum_m, levels),
    addLevels: (time_s, level_m, span) =>
      eachRun(shape, time_s, span, (bucket, begin, end) => addRun(buckets, bucket, level_m, begin, end)),
    addFold: (other) =>
      other.each((bucket, minimum_m, maximum_m, sum_m, levels) => {
        const own = Math.floor((other.origin_s + bucket * other.bucket_s - origin_s) / bucket_s);
        addToBucket(buckets, own, minimum_m, maximum_m, sum_m, levels);
      }),
    each: (take) => eachBucket(buckets, take),
    levels: () => buckets.levels.reduce((sum, levels) => sum + levels, 0),
    series: () => seriesOf(shape, buckets),
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

function eachBucket({ minimum_m, maximum_m, sum_m, levels }: Buckets, take: LevelFold["add"]): void {
  for (let bucket = 0; bucket < levels.length; bucket++) {
    const count = levels[bucket] as number;
    if (count === 0) continue;
    take(bucket, minimum_m[bucket] as number, maximum_m[bucket] as number, sum_m[bucket] as number, count);
  }
}

/** Readings within the span, as long as time goes onwards within a bucket: a day has some 100,000, and 1000 runs. */
export function eachRun(
  { origin_s, bucket_s }: Pick<LevelFold, "origin_s" | "bucket_s">,
  time_s: Float64Array,
  { from_s, to_s }: Span,
  take: TakeRun,
): void {
  for (let i = 0; i < time_s.length; ) {
    const time = time_s[i] as number;
    if (!(time >= from_s && time <= to_s)) {
      i++;
      continue;
    }
    const bucket = Math.floor((time - origin_s) / bucket_s);
    const end = endOfRun(time_s, i, Math.min(origin_s + (bucket + 1) * bucket_s, to_s));
    take(bucket, i, end);
    i = end;
  }
}

function endOfRun(time_s: Float64Array, begin: number, end_s: number): number {
  let last_s = time_s[begin] as number;
  let i = begin + 1;
  for (; i < time_s.length; i++) {
    const time = time_s[i] as number;
    if (!(time >= last_s && time < end_s)) break;
    last_s = time;
  }
  return i;
}

function addRun(into: Buckets, bucket: number, level_m: Float64Array, begin: number, end: number): void {
  let minimum_m = into.minimum_m[bucket] as number;
  let maximum_m = into.maximum_m[bucket] as number;
  let sum_m = into.sum_m[bucket] as number;
  let levels = into.levels[bucket] as number;
  for (let i = begin; i < end; i++) {
    const level = level_m[i] as number;
    if (!Number.isFinite(level)) continue;
    if (level < minimum_m) minimum_m = level;
    if (level > maximum_m) maximum_m = level;
    sum_m += level;
    levels++;
  }
  into.minimum_m[bucket] = minimum_m;
  into.maximum_m[bucket] = maximum_m;
  into.sum_m[bucket] = sum_m;
  into.levels[bucket] = levels;
}

function seriesOf({ origin_s, bucket_s }: Pick<LevelFold, "origin_s" | "bucket_s">, buckets: Buckets): LevelSeries {
  const series: { [K in keyof Omit<LevelSeries, "bucket_s">]: number[] } = {
    time_s: [],
    minimum_m: [],
    maximum_m: [],
    mean_m: [],
  };
  eachBucket(buckets, (bucket, minimum_m, maximum_m, sum_m, levels) => {
    series.time_s.push(origin_s + bucket * bucket_s);
    series.minimum_m.push(minimum_m);
    series.maximum_m.push(maximum_m);
    series.mean_m.push(sum_m / levels);
  });
  return { bucket_s, ...series };
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
