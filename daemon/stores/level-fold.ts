// Gathers levels, single or already summed up, into buckets of equal length. Pure; any store may use it.

import type { LevelSeries } from "./store.ts";

export interface LevelFold {
  add(bucket: number, minimum_m: number, maximum_m: number, sum_m: number, levels: number): void;
  addLevel(time_s: number, level_m: number): void;
  series(): LevelSeries;
}

interface Gathered {
  minimum_m: number;
  maximum_m: number;
  sum_m: number;
  levels: number;
}

/** Bucket 0 begins at `origin_s`. */
export function levelFold(origin_s: number, bucket_s: number): LevelFold {
  const buckets = new Map<number, Gathered>();
  let last: Gathered | undefined; // the next level mostly falls into the same bucket
  let lastBucket = Number.NaN;

  const add: LevelFold["add"] = (bucket, minimum_m, maximum_m, sum_m, levels) => {
    const found = bucket === lastBucket ? last : buckets.get(bucket);
    lastBucket = bucket;
    last = found;
    if (found === undefined) {
      last = { minimum_m, maximum_m, sum_m, levels };
      buckets.set(bucket, last);
      return;
    }
    if (minimum_m < found.minimum_m) found.minimum_m = minimum_m;
    if (maximum_m > found.maximum_m) found.maximum_m = maximum_m;
    found.sum_m += sum_m;
    found.levels += levels;
  };

  return {
    add,
    addLevel: (time_s, level_m) => add(Math.floor((time_s - origin_s) / bucket_s), level_m, level_m, level_m, 1),
    series: () => {
      const sorted = [...buckets].sort(([a], [b]) => a - b);
      return {
        bucket_s,
        time_s: sorted.map(([bucket]) => origin_s + bucket * bucket_s),
        minimum_m: sorted.map(([, b]) => b.minimum_m),
        maximum_m: sorted.map(([, b]) => b.maximum_m),
        mean_m: sorted.map(([, b]) => b.sum_m / b.levels),
      };
    },
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
