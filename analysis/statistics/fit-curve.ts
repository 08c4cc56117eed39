// Weighted least squares on a short basis of functions of time: a polynomial, and one extra function if wanted.
// The basis is made orthogonal over the samples, so that every coefficient stands alone with its own variance.

import { addFunction, type OwnPart } from "./extra-function.ts";
import { fitPolynomial, orthogonalAt, type PolynomialFit, ratioOf, sumOfFunctions } from "./orthogonal-polynomial.ts";
import { functionOf, leaveOf } from "./polynomial.ts";

export interface CurveSamples {
  readonly t: Float64Array;
  readonly y: Float64Array;
  /** 0 leaves a sample out; else its variance is 1/weight of that of a sample of weight 1. */
  readonly weight: Float64Array;
  readonly count: number;
}

export type TimeFunction = (t: number) => number;

export interface CurveFit {
  readonly degree: number;
  /** Functions fitted: degree + 1, and one more with an extra function. */
  readonly size: number;
  /** Weighted sum of squared residuals. */
  readonly residualSquares: number;
  /** Samples that took part. */
  readonly count: number;
  /** Value of the fitted curve at time `t` (same origin as the samples), extra function included. */
  valueAt(t: number): number;
  /** What the curve leaves of the samples from index `from` on, written where they stand. */
  leave(samples: CurveSamples, from: number, left: Float64Array): void;
  /**
   * Mean slope between `from` and `to`, extra function left out, and its variance per unit variance of a sample of
   * weight 1.
   */
  meanSlope(from: number, to: number): { readonly slope: number; readonly variance: number };
  /** Coefficient of the extra function; 0 without one. */
  readonly extraCoefficient: number;
  /** Coefficient of the highest power over its standard deviation, at unit variance of a sample. */
  readonly topRatio: number;
  /** The orthogonal functions that it is made of; without the extra function. */
  readonly polynomial: PolynomialFit;
  /** The fit of a lower degree, which of a polynomial alone is at hand; undefined with an extra function. */
  ofDegree(degree: number): CurveFit | undefined;
}

/**
 * Fits y ≈ Σ c_k·t^k (k ≤ degree) + c_extra·extra(t) to the samples whose weight is above 0.
 *
 * Orthogonal functions of the time scaled to the span of the samples; with five functions at the most they keep all the
 * digits that doubles allow.
 *
 * @returns undefined with fewer samples than functions, or when they stand at too few different times
 */
export function fitCurve(
  samples: CurveSamples,
  degree: number,
  extra: TimeFunction | null = null,
): CurveFit | undefined {
  const polynomial = fitPolynomial(samples, degree);
  if (polynomial === undefined) return undefined;
  if (extra === null) return describe(polynomial, degree, null);
  const function_ = addFunction(polynomial, extra);
  return function_ === undefined ? undefined : describe(polynomial, degree, { extra, ...function_ });
}

type Added = OwnPart & { readonly extra: TimeFunction };

function describe(polynomial: PolynomialFit, degree: number, added: Added | null): CurveFit {
  const { norms, orthogonal } = polynomial;
  // The extra function, as an orthogonal one, is itself less its shares of the others.
  const ownOf = (k: number) => (orthogonal[k] ?? 0) - (added ? added.coefficient * (added.shares[k] ?? 0) : 0);
  const sum = sumOfFunctions(polynomial, degree, ownOf);
  const polynomialAt = functionOf(sum);
  const valueAt: TimeFunction =
    added === null ? polynomialAt : (t) => polynomialAt(t) + added.coefficient * added.extra(t);
  let residualSquares = polynomial.residualSquares - (added ? added.coefficient ** 2 * added.norm : 0);
  for (let k = degree + 1; k < norms.length; k += 1)
    residualSquares += (orthogonal[k] as number) ** 2 * (norms[k] as number);
  return {
    degree,
    size: degree + 1 + (added === null ? 0 : 1),
    residualSquares: Math.max(0, residualSquares),
    count: polynomial.used,
    polynomial,
    ofDegree: (lower) => (added === null && lower <= degree ? describe(polynomial, lower, null) : undefined),
    valueAt,
    leave: (samples, from, left) => {
      if (added === null) return leaveOf(sum, samples, from, left);
      const { t, y, count } = samples;
      for (let i = from; i < count; i += 1) left[i] = (y[i] as number) - valueAt(t[i] as number);
    },
    meanSlope: (from, to) => {
      const span = to - from;
      let variance = 0;
      let shared = 0;
      for (let k = 1; k <= degree; k += 1) {
        const step = orthogonalAt(polynomial, k, to) - orthogonalAt(polynomial, k, from);
        variance += step ** 2 / (norms[k] ?? 1);
        shared += (added?.shares[k] ?? 0) * step;
      }
      if (added !== null) variance += shared ** 2 / added.norm;
      return { slope: (polynomialAt(to) - polynomialAt(from)) / span, variance: variance / span ** 2 };
    },
    extraCoefficient: added?.coefficient ?? 0,
    topRatio: ratioOf(polynomial, degree),
  };
}
