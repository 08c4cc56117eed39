// The straight line of least squares, with the uncertainty that its residuals speak for.
// Outliers are the caller's to remove; a line by weights or by medians is another file's.

export interface Line {
  readonly slope: number;
  /** At x = 0. */
  readonly intercept: number;
  /** Standard uncertainty, Type A, residuals taken as independent and alike. */
  readonly uSlope: number;
  readonly uIntercept: number;
  /** Between slope and intercept, −1…1: u²(y at x) = uIntercept² + x²·uSlope² + 2·x·correlation·uSlope·uIntercept. */
  readonly correlation: number;
  readonly residualSd: number;
  /** n − 2. */
  readonly degreesOfFreedom: number;
}

/**
 * Fits y = intercept + slope·x by ordinary least squares. Sums are taken about the means, so that times since 1970 lose
 * no digits.
 *
 * @param x shape (n), n ≥ 3, not all equal, any unit
 * @param y shape (n), any unit
 * @returns slope in units of y per unit of x, intercept and residual sd in units of y, each u in the unit of its value
 * @throws {RangeError} on unequal shapes, fewer than 3 pairs, a value that is not finite, or x that are all equal
 * @see Draper & Smith, Applied Regression Analysis (1998), ch. 1; JCGM 100:2008, H.3
 */
export function fitLine(x: ArrayLike<number>, y: ArrayLike<number>): Line {
  const n = x.length;
  if (n < 3 || y.length !== n) {
    throw new RangeError(`fitLine: need 3 pairs or more, got ${n} x and ${y.length} y`);
  }
  const meanX = mean(x, "x");
  const meanY = mean(y, "y");
  let sxx = 0;
  let sxy = 0;
  for (let i = 0; i < n; i++) {
    const dx = at(x, i) - meanX;
    sxx += dx * dx;
    sxy += dx * (at(y, i) - meanY);
  }
  if (!(sxx > 0)) throw new RangeError(`fitLine: all ${n} x are ${at(x, 0)}; a slope needs two that differ`);

  const slope = sxy / sxx;
  const degreesOfFreedom = n - 2;
  const residualSd = Math.sqrt(sumSquaredResiduals(x, y, slope, meanX, meanY) / degreesOfFreedom);
  const spread = Math.sqrt(sxx / n + meanX * meanX); // root mean square of x
  const uSlope = residualSd / Math.sqrt(sxx);
  return {
    slope,
    intercept: meanY - slope * meanX,
    uSlope,
    uIntercept: uSlope * spread,
    correlation: -meanX / spread,
    residualSd,
    degreesOfFreedom,
  };
}

/** In two passes: the second takes back what the first lost to rounding. */
function mean(values: ArrayLike<number>, name: string): number {
  const n = values.length;
  let sum = 0;
  for (let i = 0; i < n; i++) {
    const value = at(values, i);
    if (!Number.isFinite(value)) throw new RangeError(`fitLine: ${name}[${i}] is ${value}; it must be a finite number`);
    sum += value;
  }
  const first = sum / n;
  let rest = 0;
  for (let i = 0; i < n; i++) rest += at(values, i) - first;
  return first + rest / n;
}

function sumSquaredResiduals(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  slope: number,
  meanX: number,
  meanY: number,
): number {
  let sum = 0;
  for (let i = 0; i < x.length; i++) sum += (at(y, i) - meanY - slope * (at(x, i) - meanX)) ** 2;
  return sum;
}

function at(values: ArrayLike<number>, i: number): number {
  return values[i] ?? Number.NaN;
}
