// How much of a curve's residuals is slow and how much is quick: their power by the degree of polynomials that are
// orthogonal over the samples, as a spectrum is by frequency, but for samples at any times and of any weight.

import type { CurveSamples } from "./fit-curve.ts";
import { workplace } from "./workplace.ts";

const fewestSamples = 120;

const places = [workplace(), workplace(), workplace()] as const;

/** What powerByDegree finds, and over which samples. */
export interface PowerByDegree {
  /** One for each degree from the lowest on. */
  readonly squares: readonly number[];
  readonly length_s: number;
  readonly interval_s: number;
}

/**
 * Squares of the residuals' coefficients, by the three-term recurrence of polynomials orthogonal over the samples and of
 * unit norm: over all degrees they come to the residuals' own weighted sum of squares.
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
  let sum = 0;
  let first = Number.NaN;
  let last = Number.NaN;
  let used = 0;
  for (let i = 0; i < count; i += 1) {
    const w = weight[i] as number;
    if (w <= 0) continue;
    if (used === 0) first = t[i] as number;
    last = t[i] as number;
    used += 1;
    sum += w;
  }
  const half = (last - first) / 2;
  if (used < fewestSamples || !(half > 0)) return null;
  const middle = (first + last) / 2;
  const x = places[0](count);
  for (let i = 0; i < count; i += 1) x[i] = ((t[i] as number) - middle) / half;
  let before = places[1](count).fill(0, 0, count);
  let now = places[2](count).fill(1 / Math.sqrt(sum), 0, count);
  const squares: number[] = [];
  let beta = 0;
  for (let k = 0; k <= highest; k += 1) {
    if (k >= lowest) squares.push(dot(now, residual, weight, count) ** 2);
    beta = makeNext(before, now, x, weight, meanOf(x, now, weight, count), beta, count);
    if (!(beta > 0)) return null;
    [before, now] = [now, before];
  }
  return { squares, length_s: last - first, interval_s: (last - first) / Math.max(1, sum - 1) };
}

function dot(p: Float64Array, residual: Float64Array, weight: Float64Array, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i += 1) sum += (weight[i] as number) * (p[i] as number) * (residual[i] as number);
  return sum;
}

/** Of x, weighted by the squares of a function. */
function meanOf(x: Float64Array, p: Float64Array, weight: Float64Array, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i += 1) {
    const here = p[i] as number;
    sum += (weight[i] as number) * here * here * (x[i] as number);
  }
  return sum;
}

/** Puts the next function, of unit norm, in the place of the one before the last; its norm before that. */
function makeNext(
  before: Float64Array,
  now: Float64Array,
  x: Float64Array,
  weight: Float64Array,
  alpha: number,
  beta: number,
  count: number,
): number {
  let square = 0;
  for (let i = 0; i < count; i += 1) {
    const value = ((x[i] as number) - alpha) * (now[i] as number) - beta * (before[i] as number);
    before[i] = value;
    square += (weight[i] as number) * value * value;
  }
  const norm = Math.sqrt(square);
  if (norm > 0) for (let i = 0; i < count; i += 1) before[i] = (before[i] as number) / norm;
  return norm;
}
