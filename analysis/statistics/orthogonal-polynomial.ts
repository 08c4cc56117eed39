// A polynomial through samples as a sum of functions that are orthogonal over them, so that every coefficient stands alone
// with its own variance, and one degree less is the same sum without its last.

import type { CurveSamples } from "./fit-curve.ts";
import type { Polynomial } from "./polynomial.ts";
import { workplace } from "./workplace.ts";

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

/** p = (x − a)·(the function before) − b·(the one before that); c: coefficient of the function before. */
export interface Step {
  readonly a: number;
  readonly b: number;
  readonly c: number;
}

type Column = Float64Array;

const scaledTimes = workplace();
const residuals = workplace();
const oneFunction = workplace();
const otherFunction = workplace();

/**
 * Fits by functions that are orthogonal over the samples, each made from the two before it (Forsythe's recurrence,
 * p_k+1 = (x − a)·p_k − b·p_k−1), so that each degree takes one pass over the samples.
 *
 * @param withPowers false where the coefficients alone are asked for: the triangle is left empty
 * @see G. E. Forsythe (1957), "Generation and use of orthogonal polynomials for data-fitting with a digital computer"
 */
export function fitPolynomial(samples: CurveSamples, degree: number, withPowers = true): PolynomialFit | undefined {
  const { weight, count } = samples;
  const extent = extentOf(samples);
  if (extent.used < degree + 1 || !(extent.last > extent.first || degree === 0)) return undefined;
  const middle = (extent.first + extent.last) / 2;
  const half = Math.max((extent.last - extent.first) / 2, 1e-9);
  const x = scaledTimes(count);
  const residual = residuals(count);
  let next = oneFunction(count);
  let before = otherFunction(count);
  begin(samples, middle, half, x, residual, before);
  next.fill(0, 0, count);
  const steps: Step[] = [];
  const triangle: number[][] = [];
  const norms: number[] = [];
  const orthogonal: number[] = [];
  let step: Step = { a: -1, b: 0, c: 0 };
  let size = 0;
  for (let k = 0; k <= degree; k += 1) {
    passOver(weight, x, residual, next, before, step, k === 0, count);
    // Next to nothing may be left of what the functions before can stand in for.
    if (!(sums.norm > 1e-12 * size && sums.norm > 0)) return undefined;
    if (withPowers) triangle.push(powersOf(triangle, step));
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

/** Value of orthogonal function `k` at time `t`. */
export function orthogonalAt({ middle, half, triangle }: PolynomialFit, k: number, t: number): number {
  const x = (t - middle) / half;
  const powers = triangle[k] ?? [];
  let value = 0;
  for (let m = k; m >= 0; m -= 1) value = value * x + (powers[m] ?? 0);
  return value;
}

/** Coefficient of the function `k` over its standard deviation, at unit variance of a sample. */
export function ratioOf({ orthogonal, norms }: PolynomialFit, k: number): number {
  return (orthogonal[k] as number) * Math.sqrt(norms[k] as number);
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

/** Of the latest pass over the samples: at each of some ten thousand a new object would be more than its work. */
const sums = { norm: Number.NaN, moment: Number.NaN, product: Number.NaN, size: Number.NaN };

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
): void {
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
  sums.norm = norm;
  sums.moment = moment;
  sums.product = product;
  sums.size = squares;
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
  const made = triangle.length;
  if (made === 0) return [1];
  const before = triangle[made - 1] as readonly number[];
  const beforeThat = made === 1 ? [] : (triangle[made - 2] as readonly number[]);
  const powers: number[] = [];
  for (let m = 0; m <= before.length; m += 1) {
    const raised = m === 0 ? 0 : (before[m - 1] as number);
    powers.push(raised - a * (before[m] ?? 0) - b * (beforeThat[m] ?? 0));
  }
  return powers;
}
