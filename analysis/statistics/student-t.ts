// Quantiles of Student's t: the factor that turns a standard uncertainty into a 95 % interval.
// What the degrees of freedom are is the caller's to say.

import { normalQuantile } from "./normal-quantile.ts";

/**
 * The value that a Student-t variable stays below with the given probability: `studentTQuantile(0.975, 10)` is 2.2281.
 *
 * Solves the distribution function, written with the incomplete beta function, by Newton's method to 1e-11 or better. With
 * many degrees of freedom expands about the normal quantile: from 100 on to 1e-9 or better, from 1000 on where less than
 * 0.5 % lies beyond it.
 *
 * @param probability      between 0 and 1; the ends give −∞ and +∞
 * @param degreesOfFreedom above 0, fractions allowed; Infinity gives the normal quantile
 * @returns the quantile; ±Infinity where it is beyond what a number holds (less than some 0.01 degrees of freedom)
 * @throws {RangeError} on a probability outside 0…1 or degrees of freedom that are not above 0
 * @see Abramowitz & Stegun (1964), 26.5.8 and 26.7.1 for the distribution, 26.7.5 for the expansion
 */
export function studentTQuantile(probability: number, degreesOfFreedom: number): number {
  if (!(probability >= 0 && probability <= 1)) {
    throw new RangeError(`studentTQuantile: the probability is ${probability}; it must be between 0 and 1`);
  }
  if (!(degreesOfFreedom > 0)) {
    throw new RangeError(`studentTQuantile: the degrees of freedom are ${degreesOfFreedom}; they must be above 0`);
  }
  const tail = Math.min(probability, 1 - probability);
  if (degreesOfFreedom >= (tail < 0.005 ? 1000 : 100))
    return expandNormal(normalQuantile(probability), degreesOfFreedom);
  const size = upperQuantile(tail, degreesOfFreedom);
  return probability < 0.5 ? -size : size;
}

function expandNormal(z: number, df: number): number {
  if (!Number.isFinite(df) || !Number.isFinite(z)) return z;
  const zz = z * z;
  const terms = [
    (zz + 1) / 4,
    ((5 * zz + 16) * zz + 3) / 96,
    (((3 * zz + 19) * zz + 17) * zz - 15) / 384,
    ((((79 * zz + 776) * zz + 1482) * zz - 1920) * zz - 945) / 92160,
  ];
  return z * (1 + terms.reduceRight((sum, term) => (term + sum) / df, 0));
}

/**
 * In s = asinh(t/√ν) the logarithm of the tail is concave and goes straight at both ends, so Newton's method converges
 * from anywhere, and it cannot overflow however heavy the tail.
 */
function upperQuantile(tail: number, df: number): number {
  if (tail === 0.5) return 0;
  if (tail === 0) return Number.POSITIVE_INFINITY;
  const logBeta = logBetaHalf(df / 2);
  let s = firstGuess(tail, df, logBeta);
  for (let i = 0; i < 100; i++) {
    const { logTail, slope } = upperTail(s, df, logBeta);
    const step = (logTail - Math.log(tail)) / slope;
    s = Math.max(s - step, s / 8); // never to the far side of 0
    if (Math.abs(step) <= 1e-12 * s) break;
  }
  return Math.sqrt(df) * Math.sinh(s);
}

/** Few degrees of freedom: the power law that the tail approaches from below. Else the expansion about the normal. */
function firstGuess(tail: number, df: number, logBeta: number): number {
  const powerLaw = Math.LN2 - (Math.log(tail) + Math.log(df) + logBeta) / df;
  if (df < 3) return Math.max(powerLaw, 1e-3);
  return Math.min(Math.asinh(expandNormal(-normalQuantile(tail), df) / Math.sqrt(df)), powerLaw);
}

/** Logarithm of the probability above t = √ν·sinh s, and its derivative by s. */
function upperTail(s: number, df: number, logBeta: number): { logTail: number; slope: number } {
  const logCosh = s + Math.log1p(Math.exp(-2 * s)) - Math.LN2;
  const y = Math.tanh(s) ** 2;
  const front = Math.exp(-df * logCosh - logBeta); // density · √(ν + t²)
  if (y * (df + 5) > 3) {
    const fraction = betaFraction(Math.exp(-2 * logCosh), df / 2, 0.5);
    const logTail = -df * logCosh - logBeta + Math.log((Math.tanh(s) * fraction) / df);
    return { logTail, slope: -df / (Math.tanh(s) * fraction) };
  }
  const tail = 0.5 - front * Math.tanh(s) * betaFraction(y, 0.5, df / 2);
  return { logTail: Math.log(tail), slope: -front / tail };
}

/** ln B(a, ½). The ratio of two gamma functions half apart, carried up to where its series in 1/a is exact. */
function logBetaHalf(a: number): number {
  let ratio = 1; // of Γ(a)/Γ(a+½) to the one at `high`
  let high = a;
  for (; high < 20; high++) ratio *= (high + 0.5) / high;
  const h = 1 / (high * high);
  const series = (-1 / 8 + h * (1 / 192 + h * (-1 / 640 + h * (17 / 14336)))) / high;
  return 0.5 * Math.log(Math.PI) + Math.log(ratio) - 0.5 * Math.log(high) - series;
}

/** The continued fraction of the incomplete beta function, by Lentz's method. Quick for x < (a + 1)/(a + b + 2). */
function betaFraction(x: number, a: number, b: number): number {
  let c = 1;
  let d = 1 / (1 - ((a + b) * x) / (a + 1));
  let value = d;
  for (let m = 1; m < 500; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / (1 + even * d);
    c = 1 + even / c;
    value *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / (1 + odd * d);
    c = 1 + odd / c;
    value *= d * c;
    if (Math.abs(d * c - 1) < 1e-15) break;
  }
  return value;
}
