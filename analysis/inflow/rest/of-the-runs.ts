// Readings about the ends of a rest that belong to the runs beside it, where those are read off the level: one that the
// pump has hardly lowered yet, or not quite lowered to the stop, passes for one of the rest between readings far apart, and
// in a storm, where the pump hardly lowers the water at all, some do in any case.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { fitPolynomial, orthogonalAt, type PolynomialFit } from "../../statistics/orthogonal-polynomial.ts";
import { partOfSamples } from "../../statistics/part-of-samples.ts";

/**
 * Standard deviations, of the sample and of the curve there, by which one of the run stands off. Of the rest's own one in
 * forty goes with them, at either end; they leave about as much as those of the run that stay bring in.
 */
const clearly = 2;
const fewest = 6;
/** At either end. */
const mostOfRest = 0.3;
/** Steps of a sensor may leave no residual: no volume is known better than to a millilitre. */
const least_m3 = 1e-6;
/** Fewer are met by a line. */
const fewestForBend = 12;

/**
 * Takes the weight from the first samples as far as they lie clearly over the curve through those between the ends, each by
 * itself and together with those before it, and from the last as far as they lie clearly under it: only a pump lays them so.
 *
 * @param samples   volumes in m³ against seconds since the stop; spikes have no weight already
 * @param vague_s   so near to an end samples may be a run's, and always the first and the last
 * @param uEach_m3  standard uncertainty of one, as it is known from others: few say little of it themselves
 */
export function leaveOutOfRuns(samples: CurveSamples, vague_s: number, uEach_m3: number): void {
  const { t, weight, count } = samples;
  let [first, last] = [0, count - 1];
  while (first < last && !((weight[first] as number) > 0)) first += 1;
  while (last > first && !((weight[last] as number) > 0)) last -= 1;
  const most = Math.max(1, Math.floor((last - first + 1) * mostOfRest));
  let [from, to] = [first + 1, last];
  while (from - first < most && (t[from] as number) - (t[first] as number) < vague_s) from += 1;
  while (last + 1 - to < most && (t[last] as number) - (t[to - 1] as number) < vague_s) to -= 1;
  if (to - from < fewest) {
    leaveOutEnds(samples, first, last, uEach_m3);
    return;
  }
  const between = partOfSamples(samples, from, to);
  const curve = fitPolynomial(between, between.count < fewestForBend ? 1 : 2);
  if (curve === undefined) return;
  const over = (i: number, end: number) => standsOff(curve, samples, i, end);
  while (from > first && !(over(from - 1, from) > clearly && over(first, from) > clearly)) from -= 1;
  weight.fill(0, first, from);
  while (to <= last && !(over(to, to + 1) < -clearly && over(to, last + 1) < -clearly)) to += 1;
  weight.fill(0, to, last + 1);
}

/** By fewer than three between the ends no line is met. */
const fewestWithEnds = 5;

/** Of so few, what those between the ends leave of their line may be next to nothing by chance. */
function leaveOutEnds(samples: CurveSamples, first: number, last: number, uEach_m3: number): void {
  if (last - first + 1 < fewestWithEnds) return;
  const line = fitPolynomial(partOfSamples(samples, first + 1, last), 1);
  if (line === undefined) return;
  const over = standsOff(line, samples, first, first + 1, uEach_m3);
  const under = standsOff(line, samples, last, last + 1, uEach_m3);
  if (over > clearly) samples.weight[first] = 0;
  if (under < -clearly) samples.weight[last] = 0;
}

/** By how many standard deviations, of their mean and of the curve there, samples lie over it. */
function standsOff(
  curve: PolynomialFit,
  { t, y, weight }: CurveSamples,
  from: number,
  to: number,
  uEach_m3 = least_m3,
): number {
  const { norms, orthogonal, residualSquares, used } = curve;
  let all = 0;
  for (let i = from; i < to; i += 1) all += weight[i] as number;
  const mean = (of: (i: number) => number) => {
    let sum = 0;
    for (let i = from; i < to; i += 1) sum += (weight[i] as number) * of(i);
    return sum / all;
  };
  let left_m3 = mean((i) => y[i] as number);
  let spread = 1 / all;
  norms.forEach((norm, k) => {
    const here = mean((i) => orthogonalAt(curve, k, t[i] as number));
    left_m3 -= (orthogonal[k] ?? 0) * here;
    spread += here ** 2 / norm;
  });
  const variance = Math.max(uEach_m3 ** 2, residualSquares / Math.max(1, used - norms.length));
  return left_m3 / Math.sqrt(variance * spread);
}
