// Samples that stand off a fitted curve lose their weight: one rejection beyond four robust standard deviations,
// which keeps 98 to 100 % of the efficiency of least squares with and without outliers.

import type { CurveSamples } from "./fit-curve.ts";
import { medianInPlace } from "./median.ts";

const limit = 4;
/** So many outliers on end are no spikes: the course itself has turned, unless it leaps there and back. */
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
  const residual = (i: number) => ((y[i] ?? 0) - curve(t[i] ?? 0)) * Math.sqrt(weight[i] ?? 0);
  for (let i = from; i < count; ) {
    if (!(Math.abs(residual(i)) > limit * sd)) {
      i += 1;
      continue;
    }
    let end = i + 1;
    while (end < count && Math.abs(residual(end)) > limit * sd) end += 1;
    const lone = end - i < turned;
    if (lone || (leaps(residual, i, from, count, sd) && leaps(residual, end, from, count, sd))) weight.fill(0, i, end);
    i = end;
  }
  return sd;
}

/** Whether the course leaps from the sample before to this one: what is no water does, and what turns does not. */
function leaps(residual: (i: number) => number, i: number, from: number, count: number, sd: number): boolean {
  return i > from && i < count && Math.abs(residual(i) - residual(i - 1)) > limit * sd;
}
