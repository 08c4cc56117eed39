// Some of the samples of a curve, in a row. They share the memory of all: what is changed of a part is changed of the whole.

import type { CurveSamples } from "./fit-curve.ts";

/** From the one at `from` up to the one before `to`. */
export function partOfSamples({ t, y, weight, count }: CurveSamples, from: number, to = count): CurveSamples {
  return {
    t: t.subarray(from, to),
    y: y.subarray(from, to),
    weight: weight.subarray(from, to),
    count: to - from,
  };
}

/** Those of a time from `from_s` to `to_s`, both included; of samples in order of time. */
export function samplesWithin(samples: CurveSamples, from_s: number, to_s = Number.POSITIVE_INFINITY): CurveSamples {
  const { t, count } = samples;
  let first = 0;
  while (first < count && (t[first] as number) < from_s) first += 1;
  let end = first;
  while (end < count && (t[end] as number) <= to_s) end += 1;
  return partOfSamples(samples, first, end);
}
