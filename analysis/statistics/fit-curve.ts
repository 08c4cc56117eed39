// Weighted least squares on a short basis of functions of time: a polynomial, and one extra function if wanted.
// The basis is made orthogonal over the samples, so that every coefficient stands alone with its own variance.

import { functionOf, leaveOf, type Polynomial } from "./polynomial.ts";

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
  /** The fit of one degree less, which of a polynomial alone is at hand; undefined with an extra function. */
  lower(): CurveFit | undefined;
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

/** A polynomial in its orthogonal form. */
export interface PolynomialFit {
  readonly samples: CurveSamples;
  readonly middle: number;
  readonly half: number;
  readonly used: number;
  /** How each function is made of the two before it, what powers it is made of, its squared norm, its coefficient. */
  readonly steps: readonly Step[];
  readonly triangle: readonly (readonly number[])[];
  readonly norms: readonly number[];
  readonly orthogonal: readonly number[];
  readonly residualSquares: number;
}

/**
 * Fits by functions that are orthogonal over the samples, each made from the two before it (Forsythe's recurrence,
 * p_k+1 = (x − a)·p_k − b·p_k−1), so that each degree takes one pass over the samples.
 *
 * @see G. E. Forsythe (1957), "Generation and use of orthogonal polynomials for data-fitting with a digital computer"
 */
export function fitPolynomial(samples: CurveSamples, degree: number): PolynomialFit | undefined {
  const { weight, count } = samples;
  const extent = extentOf(samples);
  if (extent.used < degree + 1 || !(extent.last > extent.first || degree === 0)) return undefined;
  const middle = (extent.first + extent.last) / 2;
  const half = Math.max((extent.last - extent.first) / 2, 1e-9);
  const room = workplace(count, 4);
  const x = room[0] as Column;
  const residual = room[1] as Column;
  let next = room[2] as Column;
  let before = room[3] as Column;
  begin(samples, middle, half, x, residual, before);
  next.fill(0, 0, count);
  const steps: Step[] = [];
  const triangle: number[][] = [];
  const norms: number[] = [];
  const orthogonal: number[] = [];
  let step: Step = { a: -1, b: 0, c: 0 };
  let size = 0;
  for (let k = 0; k <= degree; k += 1) {
    const sums = passOver(weight, x, residual, next, before, step, k === 0, count);
    // Next to nothing may be left of what the functions before can stand in for.
    if (!(sums.norm > 1e-12 * size && sums.norm > 0)) return undefined;
    triangle.push(powersOf(triangle, step));
    steps.push(step);
    norms.push(sums.norm);
    orthogonal.push(sums.product / sums.norm);
    const b = k === 0 ? 0 : sums.norm / (norms[k - 1] as number);
    step = { a: sums.moment / sums.norm, b, c: sums.product / sums.norm };
    size = sums.size;
    const made = next;
    next = before;
    before = made;
  }
  const residualSquares = squaresWithout(residual, before, step.c, weight, count);
  return { samples, middle, half, used: extent.used, steps, triangle, norms, orthogonal, residualSquares };
}

/** p = (x − a)·(the function before) − b·(the one before that); c: coefficient of the function before. */
interface Step {
  readonly a: number;
  readonly b: number;
  readonly c: number;
}

type Column = Float64Array;

let work: Column[] = [];

/** Columns to work in; what stood there before is of no use to anyone. To ask for memory costs more than to fit. */
function workplace(count: number, columns: number): readonly Column[] {
  if (work.length < columns || (work[0] as Column).length < count) {
    const length = Math.max(256, 2 * count);
    work = Array.from({ length: Math.max(columns, work.length) }, () => new Float64Array(length));
  }
  return work;
}

/** Scaled times and the samples themselves; before the constant there is no function. */
function begin(
  { t, y, count }: CurveSamples,
  middle: number,
  half: number,
  x: Column,
  residual: Column,
  none: Column,
): void {
  for (let i = 0; i < count; i += 1) {
    x[i] = ((t[i] as number) - middle) / half;
    residual[i] = y[i] as number;
    none[i] = 0;
  }
}

/**
 * Puts the next function in the place of the one before the last, takes the last one out of the residual, and sums up
 * over the samples: squared norm, x times that, the residual times the function, and the squared norm of x times the
 * function.
 */
function passOver(
  weight: Column,
  x: Column,
  residual: Column,
  column: Column,
  before: Column,
  { a, b, c }: Step,
  first: boolean,
  count: number,
) {
  let norm = 0;
  let moment = 0;
  let product = 0;
  let squares = 0;
  for (let i = 0; i < count; i += 1) {
    const at = x[i] as number;
    const last = before[i] as number;
    const p = first ? 1 : (at - a) * last - b * (column[i] as number);
    const r = (residual[i] as number) - c * last;
    const wp = (weight[i] as number) * p;
    column[i] = p;
    residual[i] = r;
    norm += wp * p;
    moment += wp * p * at;
    product += wp * r;
    squares += wp * p * at * at;
  }
  return { norm, moment, product, size: squares };
}

/** Takes the last function out of the residual; the weighted sum of squares that is left. */
function squaresWithout(r: Column, last: Column, c: number, weight: Column, count: number): number {
  let squares = 0;
  for (let i = 0; i < count; i += 1) {
    const left = (r[i] as number) - c * (last[i] as number);
    squares += (weight[i] as number) * left * left;
  }
  return squares;
}

/** The powers of x that make up the next function. */
function powersOf(triangle: readonly (readonly number[])[], { a, b }: Step): number[] {
  const before = triangle[triangle.length - 1];
  if (before === undefined) return [1];
  const beforeThat = triangle[triangle.length - 2] ?? [];
  const powers: number[] = [];
  for (let m = 0; m <= before.length; m += 1) {
    const raised = m === 0 ? 0 : (before[m - 1] as number);
    powers.push(raised - a * (before[m] ?? 0) - b * (beforeThat[m] ?? 0));
  }
  return powers;
}

/** A function's part that no polynomial can stand in for: its coefficient, squared norm, and shares of the polynomials. */
export function addFunction(
  polynomial: PolynomialFit,
  extra: TimeFunction,
): { readonly coefficient: number; readonly norm: number; readonly shares: readonly number[] } | undefined {
  const { samples, norms } = polynomial;
  const { t, weight, count } = samples;
  const size = norms.length;
  if (polynomial.used < size + 1) return undefined;
  const columns = functionsOf(polynomial);
  const residual = columns[size] as Column;
  const value = columns[size + 1] as Column;
  let square = 0;
  for (let i = 0; i < count; i += 1) {
    const here = extra(t[i] as number);
    value[i] = here;
    square += (weight[i] as number) * here * here;
  }
  const shares: number[] = [];
  for (let k = 0; k < size; k += 1) {
    const column = columns[k] as Column;
    const share = dot(value, column, weight, count) / (norms[k] as number);
    takeOut(value, column, share, count);
    shares.push(share);
  }
  let norm = 0;
  let product = 0;
  for (let i = 0; i < count; i += 1) {
    const left = value[i] as number;
    const weighed = (weight[i] as number) * left;
    norm += weighed * left;
    product += weighed * (residual[i] as number);
  }
  return norm > 1e-12 * square && norm > 0 ? { coefficient: product / norm, norm, shares } : undefined;
}

let columnsOfLast: Column[] = [];
let last: PolynomialFit | null = null;

/**
 * The orthogonal functions at the samples, what they leave of the samples, and room for one more; kept for the polynomial
 * that was asked for last, which is often asked for again.
 */
function functionsOf(polynomial: PolynomialFit): readonly Column[] {
  if (last === polynomial) return columnsOfLast;
  const { samples, middle, half, steps, orthogonal } = polynomial;
  const { t, y, count } = samples;
  const wanted = steps.length + 2;
  if (columnsOfLast.length < wanted || (columnsOfLast[0] as Column).length < count)
    columnsOfLast = Array.from({ length: Math.max(8, wanted) }, () => new Float64Array(Math.max(256, 2 * count)));
  const residual = columnsOfLast[steps.length] as Column;
  for (let i = 0; i < count; i += 1) {
    const x = ((t[i] as number) - middle) / half;
    let left = y[i] as number;
    let p = 0;
    let before = 0;
    for (let k = 0; k < steps.length; k += 1) {
      const { a, b } = steps[k] as Step;
      const next = k === 0 ? 1 : (x - a) * p - b * before;
      before = p;
      p = next;
      (columnsOfLast[k] as Column)[i] = p;
      left -= (orthogonal[k] as number) * p;
    }
    residual[i] = left;
  }
  last = polynomial;
  return columnsOfLast;
}

function takeOut(column: Column, other: Column, share: number, count: number): void {
  for (let i = 0; i < count; i += 1) column[i] = (column[i] as number) - share * (other[i] as number);
}

function dot(one: Column, other: Column, weight: Column, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i += 1) sum += (weight[i] as number) * (one[i] as number) * (other[i] as number);
  return sum;
}

type Added = {
  readonly extra: TimeFunction;
  readonly coefficient: number;
  readonly norm: number;
  readonly shares: readonly number[];
};

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
    lower: () => (added === null && degree > 0 ? describe(polynomial, degree - 1, null) : undefined),
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
    topRatio: (orthogonal[degree] ?? 0) * Math.sqrt(norms[degree] ?? 0),
  };
}

/** The sum of the orthogonal functions up to `degree`, each by its coefficient, as one polynomial. */
export function sumOfFunctions(
  { middle, half, triangle }: PolynomialFit,
  degree: number,
  coefficient: (k: number) => number,
): Polynomial {
  const powers: number[] = [];
  for (let k = 0; k <= degree; k += 1) powers.push(0);
  for (let k = 0; k <= degree; k += 1) {
    const own = coefficient(k);
    const made = triangle[k] as readonly number[];
    for (let m = 0; m <= k; m += 1) powers[m] = (powers[m] as number) + own * (made[m] as number);
  }
  return { powers, middle, half };
}

function extentOf({ t, weight, count }: CurveSamples): { used: number; first: number; last: number } {
  let used = 0;
  let first = Number.POSITIVE_INFINITY;
  let last = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < count; i += 1) {
    if ((weight[i] as number) <= 0) continue;
    const time = t[i] as number;
    used += 1;
    if (time < first) first = time;
    if (time > last) last = time;
  }
  return { used, first, last };
}

/** Value of orthogonal function `k` at time `t`. */
export function orthogonalAt({ middle, half, triangle }: PolynomialFit, k: number, t: number): number {
  const x = (t - middle) / half;
  const powers = triangle[k] ?? [];
  let value = 0;
  for (let m = k; m >= 0; m -= 1) value = value * x + (powers[m] ?? 0);
  return value;
}
