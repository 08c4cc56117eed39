// The first look at a rest: which samples are spikes, and how much the others scatter.

import { type CurveSamples, fitCurve } from "../../statistics/fit-curve.ts";
import { partOfSamples } from "../../statistics/part-of-samples.ts";
import { rejectOutliers } from "../../statistics/robust-weights.ts";
import { blockMedians } from "./condensed.ts";

/** A first curve that spikes cannot lead astray; gives spikes the weight 0. The first part of the rest is judged later. */
export function roughCurve(
  samples: CurveSamples,
  duration_s: number,
  pouring: boolean,
): { sampleSd_m3: number } | undefined {
  const early = indexAt(samples, Math.min(60, duration_s * 0.25));
  const from = samples.count - early >= 8 ? early : 0;
  const later = partOfSamples(samples, from);
  const degree = later.count >= 12 ? 2 : 1;
  let sampleSd_m3 = Number.NaN;
  // Through medians one look is enough; through single samples spikes bend the curve by which they are judged.
  const medians = blockMedians(later);
  const rounds = medians === later ? 3 : 1;
  for (let round = 0; round < rounds; round += 1) {
    const fit = fitCurve(medians, degree) ?? fitCurve(medians, 1);
    if (fit === undefined) return undefined;
    const sd = rejectOutliers(later, fit);
    if (sd > 0.95 * sampleSd_m3) break;
    sampleSd_m3 = sd;
  }
  dropLoneSpikes(samples, pouring ? 2 : 0, from, 5 * sampleSd_m3);
  return { sampleSd_m3 };
}

/** In the first part returning water bends the curve, so only one or two samples off all their neighbours are spikes there. */
function dropLoneSpikes({ y, weight }: CurveSamples, from: number, to: number, limit_m3: number): void {
  for (let i = from; i < to; i += 1) {
    const here = y[i] ?? Number.NaN;
    const before = y[i - 1] ?? y[i + 2] ?? Number.NaN;
    const after = y[i + 1] ?? y[i - 2] ?? Number.NaN;
    if (standsOff(here, here, before, after, limit_m3)) weight[i] = 0;
    else if (standsOff(here, after, before, y[i + 2] ?? Number.NaN, limit_m3)) weight.fill(0, i, i + 2);
  }
}

/** Whether both of a pair lie over, or both under, both of their neighbours by more than the limit. */
function standsOff(a: number, b: number, before: number, after: number, limit: number): boolean {
  return Math.min(a, b) - Math.max(before, after) > limit || Math.min(before, after) - Math.max(a, b) > limit;
}

function indexAt(samples: CurveSamples, time_s: number): number {
  let i = 0;
  while (i < samples.count && (samples.t[i] ?? 0) < time_s) i += 1;
  return i;
}
