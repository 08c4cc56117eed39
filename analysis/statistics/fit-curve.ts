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
  // One piece of memory for all of it: to ask for many costs more than to fit.
  const memory = new Float64Array((degree + 4) * count);
  const place = (at: number) => memory.subarray(at * count, (at + 1) * count);
  const [none, x, residual] = [place(0), place(1), place(2)];
  scaleTimes(x, samples, middle, half);
  residual.set(samples.y.subarray(0, count));
  const columns: Float64Array[] = [];
  const triangle: number[][] = [];
  const norms: number[] = [];
  const orthogonal: number[] = [];
  let step = { a: -1, b: 0, c: 0, size: 0 };
  for (let k = 0; k <= degree; k += 1) {
    const column = place(3 + k);
    const sums = passOver(weight, x, residual, column, columns[k - 1] ?? none, columns[k - 2] ?? none, step);
    // Next to nothing may be left of what the functions before can stand in for.
    if (!(sums.norm > 1e-12 * step.size && sums.norm > 0)) return undefined;
    triangle.push(powersOf(triangle, step));
    columns.push(column);
    norms.push(sums.norm);
    orthogonal.push(sums.product / sums.norm);
    const b = k === 0 ? 0 : sums.norm / (norms[k - 1] as number);
    step = { a: sums.moment / sums.norm, b, c: sums.product / sums.norm, size: sums.size };
  }
  const last = columns[degree] ?? none;
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
    residualSquares: squaresWithout(residual, last, step.c, weight, count),
  };
}

interface Step {
  readonly a: number;
  readonly b: number;
  /** Coefficient of the function before, still to be taken out of the residual. */
  readonly c: number;
  /** Squared norm of x times the function before. */
  readonly size: number;
}

/**
 * Fills in the next function, takes the one before out of the residual, and sums up over the samples: squared norm,
 * x times that, the residual times the function, and the squared norm of x times the function.
 */
function passOver(
  weight: Float64Array,
  x: Float64Array,
  residual: Float64Array,
  column: Float64Array,
  before: Float64Array,
  beforeThat: Float64Array,
  { a, b, c, size }: Step,
) {
  const first = size === 0;
  let norm = 0;
  let moment = 0;
  let product = 0;
  let squares = 0;
  for (let i = 0; i < column.length; i += 1) {
    const at = x[i] as number;
    const p = first ? 1 : (at - a) * (before[i] as number) - b * (beforeThat[i] as number);
    const r = (residual[i] as number) - c * (before[i] as number);
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

function scaleTimes(x: Float64Array, { t, count }: CurveSamples, middle: number, half: number): void {
  for (let i = 0; i < count; i += 1) x[i] = ((t[i] as number) - middle) / half;
}

/** Takes the last function out of the residual; the weighted sum of squares that is left. */
function squaresWithout(r: Float64Array, last: Float64Array, c: number, weight: Float64Array, count: number): number {
  let squares = 0;
  for (let i = 0; i < count; i += 1) {
    const left = (r[i] as number) - c * (last[i] as number);
    r[i] = left;
    squares += (weight[i] as number) * left * left;
  }
  return squares;
}

/** The powers of x that make up the next function. */
function powersOf(triangle: readonly (readonly number[])[], { a, b }: Step): number[] {
  const before = triangle[triangle.length - 1];
  if (before === undefined) return [1];
  const beforeThat = triangle[triangle.length - 2] ?? [];
  return [0, ...before].map((power, m) => power - a * (before[m] ?? 0) - b * (beforeThat[m] ?? 0));
}

/** A function's part that no polynomial can stand in for: its coefficient, squared norm, and shares of the polynomials. */
export function addFunction(
  polynomial: PolynomialFit,
  extra: TimeFunction,
): { readonly coefficient: number; readonly norm: number; readonly shares: readonly number[] } | undefined {
  const { samples, columns, norms, residual } = polynomial;
  const { t, weight, count } = samples;
  if (polynomial.used < columns.length + 1) return undefined;
  const value = workplace(count);
  for (let i = 0; i < count; i += 1) value[i] = extra(t[i] as number);
  const [a, b, c, d] = [0, 1, 2, 3].map((k) => columns[k] ?? value) as [Column, Column, Column, Column];
  let [square, sumA, sumB, sumC, sumD] = [0, 0, 0, 0, 0];
  for (let i = 0; i < count; i += 1) {
    const here = value[i] as number;
    const weighed = (weight[i] as number) * here;
    square += weighed * here;
    sumA += weighed * (a[i] as number);
    sumB += weighed * (b[i] as number);
    sumC += weighed * (c[i] as number);
    sumD += weighed * (d[i] as number);
  }
  const sums = [sumA, sumB, sumC, sumD];
  const shares = columns.map((other, k) => (sums[k] ?? dot(value, other, weight, count)) / (norms[k] ?? 1));
  const [shareA = 0, shareB = 0, shareC = 0, shareD = 0] = shares;
  for (let k = sums.length; k < columns.length; k += 1)
    takeOut(value, columns[k] as Column, shares[k] as number, count);
  let norm = 0;
  let product = 0;
  for (let i = 0; i < count; i += 1) {
    const taken = shareA * (a[i] as number) + shareB * (b[i] as number) + shareC * (c[i] as number);
    const left = (value[i] as number) - taken - shareD * (d[i] as number);
    const weighed = (weight[i] as number) * left;
    norm += weighed * left;
    product += weighed * (residual[i] as number);
  }
  return norm > 1e-12 * square && norm > 0 ? { coefficient: product / norm, norm, shares } : undefined;
}

type Column = Float64Array;

let work = new Float64Array(256);

/** Where a function is written down while it is tried; what stood there before is of no use to anyone. */
function workplace(count: number): Float64Array {
  if (work.length < count) work = new Float64Array(2 * count);
  return work;
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
  const { middle, half, triangle, norms, orthogonal } = polynomial;
  const powers = new Array<number>(degree + 1).fill(0);
  for (let k = 0; k <= degree; k += 1) {
    // The extra function, as an orthogonal one, is itself less its shares of the others.
    const own = (orthogonal[k] ?? 0) - (added ? added.coefficient * (added.shares[k] ?? 0) : 0);
    for (let m = 0; m <= k; m += 1) powers[m] = (powers[m] as number) + own * (triangle[k]?.[m] ?? 0);
  }
  const polynomialAt = (t: number) => {
    const x = (t - middle) / half;
    let value = 0;
    for (let m = degree; m >= 0; m -= 1) value = value * x + (powers[m] as number);
    return value;
  };
  return {
    degree,
    size: degree + 1 + (added === null ? 0 : 1),
    residualSquares: Math.max(0, polynomial.residualSquares - (added ? added.coefficient ** 2 * added.norm : 0)),
    count: polynomial.used,
    valueAt: added === null ? polynomialAt : (t) => polynomialAt(t) + added.coefficient * added.extra(t),
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
