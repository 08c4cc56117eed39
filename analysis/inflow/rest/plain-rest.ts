// Whether a rest is plain, as nearly all are: its samples are a cubic and independent noise. Then no spike, leap, pour or
// fall need be looked for one by one.

import { hidesAtOnce_s } from "../../readings/closely-read.ts";
import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { type PolynomialFit, sumOfFunctions } from "../../statistics/orthogonal-polynomial.ts";
import { leaveOf } from "../../statistics/polynomial.ts";
import { workplace } from "../../statistics/workplace.ts";
import { bendOfRest } from "../drain-back/slow-return.ts";
import { condensed } from "./condensed.ts";

export interface PlainRest {
  /** Standard deviation of a sample of weight 1, by how neighbours differ. */
  readonly sampleSd_m3: number;
  /** The samples condensed, and the cubic through those after the valve has closed. */
  readonly short: CurveSamples;
  readonly bend: PolynomialFit;
}

/** Of fewer samples chance makes anything. */
const fewest = 64;
/** Standard deviations of a sample by which one stands off the one before it, and off those on either side together. */
const mostStep = 6;
const mostBend = 10;
/** Standard deviations by which the squares that the cubic leaves are more than noise leaves. */
const mostLeft = 4;
/** How far what it leaves adds up, in standard deviations of the sum of all samples: a step that stays is found so. */
const mostAstray = 0.8;
const least_m3 = 1e-6;

/**
 * @param samples volumes in m³ against seconds since the stop, in order of time, all with their weight
 * @returns null when there is something to look for, or too little to tell
 */
export function plainRest(samples: CurveSamples): PlainRest | null {
  const { t, count } = samples;
  // Readings farther apart hide what comes at once.
  if (count < fewest || !((t[count - 1] as number) - (t[0] as number) < hidesAtOnce_s * (count - 1))) return null;
  const sampleSd_m3 = evenSd_m3(samples);
  if (sampleSd_m3 === null) return null;
  const short = condensed(samples);
  const bend = bendOfRest(short);
  return bend !== undefined && leavesNoise(bend, sampleSd_m3) ? { sampleSd_m3, short, bend } : null;
}

/** By second differences, beside what the water rises by itself; null where one sample stands off those beside it. */
function evenSd_m3({ t, y, weight, count }: CurveSamples): number | null {
  const rise_m3s = ((y[count - 1] as number) - (y[0] as number)) / ((t[count - 1] as number) - (t[0] as number));
  let squares = 0;
  let widestBend = 0;
  let widestStep = 0;
  let stepBefore = 0;
  let weightBefore = weight[0] as number;
  for (let i = 1; i < count; i += 1) {
    const w = weight[i] as number;
    const lighter = Math.min(w, weightBefore);
    const step = (y[i] as number) - (y[i - 1] as number) - rise_m3s * ((t[i] as number) - (t[i - 1] as number));
    const bend = i === 1 ? 0 : lighter * (step - stepBefore) ** 2;
    squares += bend;
    widestBend = Math.max(widestBend, bend);
    widestStep = Math.max(widestStep, lighter * step * step);
    stepBefore = step;
    weightBefore = w;
  }
  const variance = Math.max(least_m3 ** 2, squares / (6 * (count - 2)));
  // A sensor that stands shows no noise.
  const even = squares > 0 && widestBend <= mostBend ** 2 * variance && widestStep <= mostStep ** 2 * variance;
  return even ? Math.sqrt(variance) : null;
}

const residuals = workplace();

function leavesNoise(cubic: PolynomialFit, sampleSd_m3: number): boolean {
  const { samples, used, norms, residualSquares } = cubic;
  const free = used - norms.length;
  if (!(residualSquares <= sampleSd_m3 ** 2 * (free + mostLeft * Math.sqrt(2 * free)))) return false;
  const left = residuals(samples.count);
  const { weight, count } = samples;
  leaveOf(
    sumOfFunctions(cubic, norms.length - 1, (k) => cubic.orthogonal[k] as number),
    samples,
    0,
    left,
  );
  let sum = 0;
  let widest = 0;
  for (let i = 0; i < count; i += 1) {
    sum += (weight[i] as number) * (left[i] as number);
    widest = Math.max(widest, Math.abs(sum));
  }
  // The constant's squared norm is the weight of all.
  return widest <= mostAstray * sampleSd_m3 * Math.sqrt(norms[0] as number);
}
