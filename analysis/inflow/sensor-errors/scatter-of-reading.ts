// How far one reading of a rest lies off its course by noise, told by the readings beside it: by the median of the second
// differences, which no steady rise, no step and no spike is in.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { medianInPlace } from "../../statistics/median.ts";
import { workplace } from "../../statistics/workplace.ts";

export interface Scatter {
  /** Standard deviation of a sample, whatever its weight, and of a single reading. */
  readonly sample_m3: number;
  readonly reading_m3: number;
}

/** Median of |error| against the standard deviation, for normal errors. */
const perMedian = 1.4826;

const bendsIn = workplace();
const scaledIn = workplace();

/** @param samples in order of time; a sample's weight is how many readings it is the mean of */
export function scatterOf({ y, weight, count }: CurveSamples): Scatter {
  const scaled = scaledIn(count);
  let used = 0;
  for (let i = 1; i < count - 1; i += 1) {
    const variance = 1 / (weight[i - 1] as number) + 4 / (weight[i] as number) + 1 / (weight[i + 1] as number);
    if (!(variance < Number.POSITIVE_INFINITY)) continue;
    scaled[used] = bendAt_m3(y, i) / Math.sqrt(variance);
    used += 1;
  }
  return {
    sample_m3: scatterOfSamples_m3(y, count),
    reading_m3: used > 0 ? perMedian * medianInPlace(scaled, used) : 0,
  };
}

/** Standard deviation of one of the first `count` samples, whatever its weight; 0 where too few tell. */
export function scatterOfSamples_m3(y: Float64Array, count: number): number {
  if (count < 3) return 0;
  const bends = bendsIn(count);
  for (let i = 1; i < count - 1; i += 1) bends[i - 1] = bendAt_m3(y, i);
  return (perMedian * medianInPlace(bends, count - 2)) / Math.sqrt(6);
}

function bendAt_m3(y: Float64Array, i: number): number {
  return Math.abs((y[i - 1] as number) - 2 * (y[i] as number) + (y[i + 1] as number));
}

/** Of sample `i`: means of many readings scatter by less, but by no less than their neighbours show. */
export function scatterAt_m3({ sample_m3, reading_m3 }: Scatter, { weight }: CurveSamples, i: number): number {
  const w = weight[i] as number;
  return w > 0 ? Math.max(sample_m3, reading_m3 / Math.sqrt(w)) : sample_m3;
}
