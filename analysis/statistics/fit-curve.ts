// Weighted least squares on a short basis of functions of time: a polynomial, and one extra function if wanted.
// The basis is made orthogonal over the samples, so that every coefficient stands alone with its own variance.

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
  /**
   * Mean slope between `from` and `to`, extra function left out, and its variance per unit variance of a sample of
   * weight 1.
   */
  meanSlope(from: number, to: number): { readonly slope: number; readonly variance: number };
  /** Coefficient of the extra function; 0 without one. */
  readonly extraCoefficient: number;
  /** Coefficient of the highest power over its standard deviation, at unit variance of a sample. */
  readonly topRatio: number;
}

/**
 * Fits y ≈ Σ c_k·t^k (k ≤ degree) + c_extra·extra(t) to the samples whose weight is above 0.
 *
 * Modified Gram–Schmidt on powers of the time scaled to the span of the samples; with five functions at the most it
 * keeps all the digits that doubles allow.
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

/** Residual sum of squares and coefficient when `extra` joins a polynomial; for trying many functions on one polynomial. */
export function tryFunction(
  polynomial: PolynomialFit,
  extra: TimeFunction,
): { readonly coefficient: number; readonly residualSquares: number } | undefined {
  const added = addFunction(polynomial, extra);
  if (added === undefined) return undefined;
  const { coefficient, norm } = added;
  return { coefficient, residualSquares: polynomial.residualSquares - coefficient ** 2 * norm };
}

/** A polynomial in its orthogonal form. */
export interface PolynomialFit {
  readonly samples: CurveSamples;
  readonly middle: number;
  readonly half: number;
  readonly used: number;
  /** Orthogonal functions at the samples, what powers they are made of, their squared norms, their coefficients. */
  readonly columns: readonly Float64Array[];
  readonly triangle: readonly (readonly number[])[];
  readonly norms: readonly number[];
  readonly orthogonal: readonly number[];
  readonly residual: Float64Array;
  readonly residualSquares: number;
}

export function fitPolynomial(samples: CurveSamples, degree: number): PolynomialFit | undefined {
  const { t, y, weight, count } = samples;
  const extent = extentOf(samples);
  if (extent.used < degree + 1 || !(extent.last > extent.first || degree === 0)) return undefined;
  const middle = (extent.first + extent.last) / 2;
  const half = Math.max((extent.last - extent.first) / 2, 1e-9);
  const columns: Float64Array[] = [];
  const triangle: number[][] = [];
  const norms: number[] = [];
  for (let k = 0; k <= degree; k += 1) {
    const column = new Float64Array(count);
    for (let i = 0; i < count; i += 1) column[i] = power((num(t, i) - middle) / half, k);
    const made = orthogonalize(column, weight, count, columns, norms);
    if (made === undefined) return undefined;
    triangle.push(combine(k, made.shares, triangle));
    columns.push(column);
    norms.push(made.norm);
  }
  const residual = y.slice(0, count);
  const orthogonal = columns.map((column, k) => takeOut(residual, column, weight, count, norms[k] ?? 1));
  const residualSquares = dot(residual, residual, weight, count);
  return {
    samples,
    middle,
    half,
    used: extent.used,
    columns,
    triangle,
    norms,
    orthogonal,
    residual,
    residualSquares,
  };
}

/** A function's part that no polynomial can stand in for: its coefficient, squared norm, and shares of the polynomials. */
export function addFunction(
  polynomial: PolynomialFit,
  extra: TimeFunction,
): { readonly coefficient: number; readonly norm: number; readonly shares: readonly number[] } | undefined {
  const { samples, columns, norms, residual } = polynomial;
  const { t, weight, count } = samples;
  if (polynomial.used < columns.length + 1) return undefined;
  const column = new Float64Array(count);
  for (let i = 0; i < count; i += 1) column[i] = extra(num(t, i));
  const made = orthogonalize(column, weight, count, columns, norms);
  if (made === undefined) return undefined;
  const coefficient = dot(residual, column, weight, count) / made.norm;
  return { coefficient, norm: made.norm, shares: made.shares };
}

type Added = {
  readonly extra: TimeFunction;
  readonly coefficient: number;
  readonly norm: number;
  readonly shares: readonly number[];
};

function describe(polynomial: PolynomialFit, degree: number, added: Added | null): CurveFit {
  const { middle, half, triangle, norms, orthogonal } = polynomial;
  const scaled = (t: number) => (t - middle) / half;
  const powers = new Array<number>(degree + 1).fill(0);
  // The extra function, as an orthogonal one, is itself less its shares of the others.
  const own = orthogonal.map(
    (coefficient, k) => coefficient - (added ? added.coefficient * (added.shares[k] ?? 0) : 0),
  );
  own.forEach((coefficient, k) => {
    for (let m = 0; m <= k; m += 1) powers[m] = (powers[m] ?? 0) + coefficient * (triangle[k]?.[m] ?? 0);
  });
  const polynomialAt = (t: number) => powers.reduceRight((sum, c) => sum * scaled(t) + c, 0);
  const change = (k: number, from: number, to: number) => {
    let sum = 0;
    for (let m = 1; m <= k; m += 1) sum += (triangle[k]?.[m] ?? 0) * (power(scaled(to), m) - power(scaled(from), m));
    return sum;
  };
  return {
    degree,
    size: degree + 1 + (added === null ? 0 : 1),
    residualSquares: Math.max(0, polynomial.residualSquares - (added ? added.coefficient ** 2 * added.norm : 0)),
    count: polynomial.used,
    valueAt: (t) => polynomialAt(t) + (added === null ? 0 : added.coefficient * added.extra(t)),
    meanSlope: (from, to) => {
      const span = to - from;
      let variance = 0;
      let shared = 0;
      for (let k = 1; k <= degree; k += 1) {
        const step = change(k, from, to);
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

function extentOf({ t, weight, count }: CurveSamples): { used: number; first: number; last: number } {
  let used = 0;
  let first = Number.POSITIVE_INFINITY;
  let last = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < count; i += 1) {
    if (num(weight, i) <= 0) continue;
    const time = num(t, i);
    used += 1;
    if (time < first) first = time;
    if (time > last) last = time;
  }
  return { used, first, last };
}

/** Takes from `column` its shares of the functions before; undefined when next to nothing of it is left. */
function orthogonalize(
  column: Float64Array,
  weight: Float64Array,
  count: number,
  others: readonly Float64Array[],
  norms: readonly number[],
): { readonly shares: number[]; readonly norm: number } | undefined {
  const before = dot(column, column, weight, count);
  const shares = others.map((other, j) => takeOut(column, other, weight, count, norms[j] ?? 1));
  const norm = dot(column, column, weight, count);
  return norm > 1e-12 * before && norm > 0 ? { shares, norm } : undefined;
}

function takeOut(column: Float64Array, other: Float64Array, weight: Float64Array, count: number, norm: number): number {
  const share = dot(column, other, weight, count) / norm;
  for (let i = 0; i < count; i += 1) column[i] = num(column, i) - share * num(other, i);
  return share;
}

/** Value of orthogonal function `k` at time `t`. */
export function orthogonalAt({ middle, half, triangle }: PolynomialFit, k: number, t: number): number {
  const x = (t - middle) / half;
  const powers = triangle[k] ?? [];
  let value = 0;
  for (let m = k; m >= 0; m -= 1) value = value * x + (powers[m] ?? 0);
  return value;
}

/** The powers that make up orthogonal function `k`. */
function combine(k: number, shares: readonly number[], triangle: readonly (readonly number[])[]): number[] {
  const powers = new Array<number>(k + 1).fill(0);
  powers[k] = 1;
  shares.forEach((share, j) => {
    for (let m = 0; m <= j; m += 1) powers[m] = (powers[m] ?? 0) - share * (triangle[j]?.[m] ?? 0);
  });
  return powers;
}

function dot(a: Float64Array, b: Float64Array, weight: Float64Array, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i += 1) sum += num(weight, i) * num(a, i) * num(b, i);
  return sum;
}

function power(x: number, k: number): number {
  return k === 0 ? 1 : k === 1 ? x : k === 2 ? x * x : k === 3 ? x * x * x : x ** k;
}

function num(values: Float64Array, i: number): number {
  return values[i] as number;
}
