// How much of a curve's residuals is slow and how much is quick: their power by the degree of polynomials that are
// orthogonal over the samples, as a spectrum is by frequency, but for samples at any times and of any weight.

import type { CurveSamples } from "./fit-curve.ts";
import { fitPolynomial } from "./orthogonal-polynomial.ts";

const fewestSamples = 120;

/** What powerByDegree finds, and over which samples. */
export interface PowerByDegree {
  /** One for each degree from the lowest on. */
  readonly squares: readonly number[];
  readonly length_s: number;
  readonly interval_s: number;
}

/**
 * Squares of the residuals' coefficients of the polynomials orthogonal over the samples, each of unit norm: over all
 * degrees they come to the residuals' own weighted sum of squares.
 *
 * @param samples  those without weight are left out
 * @param residual shape (count), beside the samples
 * @returns null with fewer than 120 samples, or at too few different times
 */
export function powerByDegree(
  { t, weight, count }: CurveSamples,
  residual: Float64Array,
  lowest: number,
  highest: number,
): PowerByDegree | null {
  const fit = fitPolynomial({ t, y: residual, weight, count }, highest, false);
  if (fit === undefined || fit.used < fewestSamples) return null;
  const squares: number[] = [];
  for (let k = lowest; k <= highest; k += 1)
    squares.push((fit.orthogonal[k] as number) ** 2 * (fit.norms[k] as number));
  const length_s = 2 * fit.half;
  // The constant's squared norm is the weight of all.
  return { squares, length_s, interval_s: length_s / Math.max(1, (fit.norms[0] as number) - 1) };
}
