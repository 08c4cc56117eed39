// Weighted least squares on a short basis of functions of time: polynomials, and one extra function if wanted.
// The basis is made orthogonal over the samples, so that every coefficient stands alone with its own variance.

export interface CurveFit {
  readonly degree: number;
  readonly coefficients: readonly number[];
  /** Weighted sum of squared residuals. */
  readonly residualSquares: number;
  /** Samples that took part. */
  readonly count: number;
  /** Value of the fitted curve at time `t` (same origin as the samples). */
  valueAt(t: number): number;
  /**
   * Mean slope between `from` and `to`, extra function left out, and its variance per unit variance of a sample of
   * weight 1.
   */
  meanSlope(from: number, to: number): { readonly slope: number; readonly variance: number };
  /** Coefficient of the extra function and its variance per unit variance; null without one. */
  readonly extra: { readonly coefficient: number; readonly variance: number } | null;
  /** Coefficient of the highest power over its standard deviation, at unit variance of a sample. */
  readonly topRatio: number;
}

export interface CurveSamples {
  readonly t: Float64Array;
  readonly y: Float64Array;
  readonly weight: Float64Array;
  readonly count: number;
}

/**
 * Fits y ≈ Σ c_k·t^k (k ≤ degree) + c_extra·extra(t) to the samples whose weight is above 0.
 *
 * Modified Gram–Schmidt on the functions scaled to the span of the samples; with six functions at the most it keeps
 * all the digits that doubles allow.
 *
 * @returns undefined with fewer samples than functions, or when they stand at too few different times
 */
export function fitCurve(
  samples: CurveSamples,
  degree: number,
  extra: ((t: number) => number) | null = null,
): CurveFit | undefined {
  const { t, y, weight, count } = samples;
  let used = 0;
  let first = Number.POSITIVE_INFINITY;
  let last = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < count; i += 1) {
    if (num(weight, i) <= 0) continue;
    used += 1;
    first = Math.min(first, num(t, i));
    last = Math.max(last, num(t, i));
  }
  const size = degree + 1 + (extra === null ? 0 : 1);
  if (used < size || !(last > first || degree === 0)) return undefined;

  const middle = (first + last) / 2;
  const half = Math.max((last - first) / 2, 1e-9);
  const raw = (k: number, time: number) =>
    k <= degree ? ((time - middle) / half) ** k : extra === null ? 0 : extra(time);

  // Columns of the orthogonal basis at the samples, and the triangle that makes them from the raw functions.
  const columns: Float64Array[] = [];
  const triangle: number[][] = [];
  const norms: number[] = [];
  for (let k = 0; k < size; k += 1) {
    const column = new Float64Array(count);
    for (let i = 0; i < count; i += 1) column[i] = raw(k, num(t, i));
    const before = dot(column, column, weight, count);
    const combination = new Array<number>(size).fill(0);
    combination[k] = 1;
    for (let j = 0; j < k; j += 1) {
      const other = columns[j] as Float64Array;
      const share = dot(column, other, weight, count) / (norms[j] as number);
      for (let i = 0; i < count; i += 1) column[i] = num(column, i) - share * num(other, i);
      const otherCombination = triangle[j] as number[];
      for (let m = 0; m <= j; m += 1) combination[m] = (combination[m] ?? 0) - share * (otherCombination[m] ?? 0);
    }
    const norm = dot(column, column, weight, count);
    if (!(norm > 1e-12 * before) || !(norm > 0)) return undefined;
    columns.push(column);
    triangle.push(combination);
    norms.push(norm);
  }

  const residual = Float64Array.from(y.subarray(0, count));
  const orthogonal: number[] = [];
  for (let k = 0; k < size; k += 1) {
    const column = columns[k] as Float64Array;
    const coefficient = dot(residual, column, weight, count) / (norms[k] as number);
    for (let i = 0; i < count; i += 1) residual[i] = num(residual, i) - coefficient * num(column, i);
    orthogonal.push(coefficient);
  }
  const coefficients = new Array<number>(size).fill(0);
  for (let k = 0; k < size; k += 1) {
    for (let m = 0; m <= k; m += 1) {
      coefficients[m] = (coefficients[m] ?? 0) + (orthogonal[k] as number) * (triangle[k]?.[m] ?? 0);
    }
  }

  return {
    degree,
    coefficients,
    residualSquares: dot(residual, residual, weight, count),
    count: used,
    valueAt: (time) => {
      let value = 0;
      for (let k = 0; k < size; k += 1) value += (coefficients[k] as number) * raw(k, time);
      return value;
    },
    meanSlope: (from, to) => {
      let slope = 0;
      for (let m = 1; m <= degree; m += 1) slope += (coefficients[m] as number) * (raw(m, to) - raw(m, from));
      let variance = 0;
      for (let k = 1; k < size; k += 1) {
        let change = 0;
        for (let m = 1; m <= Math.min(k, degree); m += 1) {
          change += (triangle[k]?.[m] ?? 0) * (raw(m, to) - raw(m, from));
        }
        variance += change ** 2 / (norms[k] as number);
      }
      const span = to - from;
      return { slope: slope / span, variance: variance / span ** 2 };
    },
    extra:
      extra === null
        ? null
        : { coefficient: coefficients[size - 1] as number, variance: 1 / (norms[size - 1] as number) },
    topRatio: (orthogonal[degree] as number) * Math.sqrt(norms[degree] as number),
  };
}

function dot(a: Float64Array, b: Float64Array, weight: Float64Array, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i += 1) sum += num(weight, i) * num(a, i) * num(b, i);
  return sum;
}

function num(values: Float64Array, i: number): number {
  return values[i] as number;
}
