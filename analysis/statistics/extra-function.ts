// One more function of time beside a polynomial that has been fitted: what of it no polynomial can stand in for.

import type { TimeFunction } from "./fit-curve.ts";
import type { PolynomialFit, Step } from "./orthogonal-polynomial.ts";

type Column = Float64Array;

/** A function's part that no polynomial can stand in for. */
export interface OwnPart {
  readonly coefficient: number;
  /** Squared. */
  readonly norm: number;
  /** What the function has of each orthogonal function of the polynomial. */
  readonly shares: readonly number[];
}

/** @returns undefined where the polynomial can stand in for all of it, or with too few samples */
export function addFunction(polynomial: PolynomialFit, extra: TimeFunction): OwnPart | undefined {
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
