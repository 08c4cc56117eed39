// Samples that stand off a fitted curve lose their weight: one rejection beyond four robust standard deviations,
// which keeps 98 to 100 % of the efficiency of least squares with and without outliers.

import type { CurveFit, CurveSamples } from "./fit-curve.ts";
import { medianInPlace } from "./median.ts";
import { workplace } from "./workplace.ts";

const limit = 4;
/** So many outliers on end are no spikes: the course itself has turned, unless it leaps there and back. */
const turned = 5;
/** At an end fewer will do, if they lie as water does that pours in. */
const fewestTurned = 2;
const farthestFromEnd = 48;

const residuals = workplace();
const deviations = workplace();

/**
 * Sets to 0 the weights of outliers of `curve` among the samples from index `from` on; returns the robust standard
 * deviation of a sample of weight 1 (1.4826 × the median absolute deviation).
 *
 * @param leastSd of a sample of weight 1, where that is known: the median of a dozen residuals says it by a quarter at best
 */
export function rejectOutliers(samples: CurveSamples, curve: Pick<CurveFit, "leave">, from = 0, leastSd = 0): number {
  const { weight, count } = samples;
  const residual = residuals(count);
  const deviation = deviations(count);
  curve.leave(samples, from, residual);
  let kept = 0;
  let squares = 0;
  for (let i = from; i < count; i += 1) {
    const w = weight[i] as number;
    if (w <= 0) {
      residual[i] = 0;
      continue;
    }
    const scaled = w === 1 ? (residual[i] as number) : (residual[i] as number) * Math.sqrt(w);
    residual[i] = scaled;
    deviation[kept] = Math.abs(scaled);
    squares += scaled * scaled;
    kept += 1;
  }
  if (kept < 4) return kept === 0 ? Number.NaN : Math.sqrt(squares / kept);
  // A coarse sensor can hold more than half of the samples exactly on the curve: the median alone would be 0.
  const sd = Math.max(1.4826 * medianInPlace(deviation, kept), 0.25 * Math.sqrt(squares / kept), leastSd);
  const most = limit * sd;
  const until = count - turnedAtEnd(residual, count - 1, -1, count - from, most);
  for (let i = from + turnedAtEnd(residual, from, 1, until - from, most); i < until; ) {
    if (!(Math.abs(residual[i] as number) > most)) {
      i += 1;
      continue;
    }
    let end = i + 1;
    while (end < until && Math.abs(residual[end] as number) > most) end += 1;
    const lone = end - i < turned;
    if (lone || (leaps(residual, i, from, count, most) && leaps(residual, end, from, count, most)))
      weight.fill(0, i, end);
    i = end;
  }
  return sd;
}

/**
 * How many samples at an end, seen from `first` by `step`, are a course that turns there: most of them, two at least,
 * lie over the curve at the last end, or under it at the first, as water does that pours in.
 */
function turnedAtEnd(residual: Float64Array, first: number, step: number, count: number, most: number): number {
  let turning = 0;
  let off = 0;
  for (let k = 1; k <= Math.min(farthestFromEnd, count); k += 1) {
    const here = residual[first + step * (k - 1)] as number;
    if (Math.abs(here) > most) off -= step * Math.sign(here);
    if (2 * off > k) turning = off >= fewestTurned ? k : 0;
    else if (k >= turned) break;
  }
  return turning;
}

/** Whether the course leaps from the sample before to this one: what is no water does, and what turns does not. */
function leaps(residual: Float64Array, i: number, from: number, count: number, most: number): boolean {
  return i > from && i < count && Math.abs((residual[i] as number) - (residual[i - 1] as number)) > most;
}
