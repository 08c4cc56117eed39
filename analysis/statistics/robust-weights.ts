// Samples that stand off a fitted curve lose their weight: one rejection beyond four robust standard deviations,
// which keeps 98 to 100 % of the efficiency of least squares with and without outliers.

import type { CurveSamples } from "./fit-curve.ts";
import { medianInPlace } from "./median.ts";

const limit = 4;
/** So many outliers on end, up to the last sample, are no spikes: the course itself has turned. */
const turned = 5;

/**
 * Sets to 0 the weights of outliers of `curve` among the samples from index `from` on; returns the robust standard
 * deviation of a sample of weight 1 (1.4826 × the median absolute deviation).
 */
export function rejectOutliers(samples: CurveSamples, curve: (t: number) => number, from = 0): number {
  const { t, y, weight, count } = samples;
  const deviation = new Float64Array(count);
  let kept = 0;
  let squares = 0;
  for (let i = from; i < count; i += 1) {
    const w = weight[i] ?? 0;
    if (w <= 0) continue;
    const scaled = Math.abs((y[i] ?? 0) - curve(t[i] ?? 0)) * Math.sqrt(w);
    deviation[kept] = scaled;
    squares += scaled ** 2;
    kept += 1;
  }
  if (kept < 4) return kept === 0 ? Number.NaN : Math.sqrt(squares / kept);
  // A coarse sensor can hold more than half of the samples exactly on the curve: the median alone would be 0.
  const sd = Math.max(1.4826 * medianInPlace(deviation, kept), 0.25 * Math.sqrt(squares / kept));
  const isOutlier = (i: number) => Math.abs((y[i] ?? 0) - curve(t[i] ?? 0)) * Math.sqrt(weight[i] ?? 0) > limit * sd;
  const end = turnOfEnd(count, from, isOutlier);
  for (let i = from; i < end; i += 1) if ((weight[i] ?? 0) > 0 && isOutlier(i)) weight[i] = 0;
  return sd;
}

/** Index of the first of the outliers that run on to the last sample, if there are enough of them; else the count. */
function turnOfEnd(count: number, from: number, isOutlier: (i: number) => boolean): number {
  let start = count;
  while (start > from && isOutlier(start - 1)) start -= 1;
  return count - start >= turned ? start : count;
}
