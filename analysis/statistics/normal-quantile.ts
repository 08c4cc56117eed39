// Quantiles of the normal distribution, to full precision. For intervals of unknown spread see student-t.ts.

/**
 * The value that a standard normal variable stays below with the given probability: `normalQuantile(0.975)` is 1.95996.
 *
 * @param probability between 0 and 1; the ends give −∞ and +∞
 * @returns the quantile, to about 1e-15 relative
 * @throws {RangeError} on a probability outside 0…1
 * @see Wichura (1988), Algorithm AS 241, Applied Statistics 37, 477–484 (routine PPND16)
 */
export function normalQuantile(probability: number): number {
  if (!(probability >= 0 && probability <= 1)) {
    throw new RangeError(`normalQuantile: the probability is ${probability}; it must be between 0 and 1`);
  }
  const q = probability - 0.5;
  if (Math.abs(q) <= 0.425) return q * rational(0.180625 - q * q, centre);

  const tail = Math.min(probability, 1 - probability);
  if (tail === 0) return q < 0 ? -Infinity : Infinity;
  const r = Math.sqrt(-Math.log(tail));
  const size = r <= 5 ? rational(r - 1.6, middle) : rational(r - 5, far);
  return q < 0 ? -size : size;
}

/** Coefficients from the constant term up. */
interface Rational {
  readonly above: readonly number[];
  readonly below: readonly number[];
}

function rational(x: number, { above, below }: Rational): number {
  return polynomial(x, above) / polynomial(x, below);
}

function polynomial(x: number, coefficients: readonly number[]): number {
  return coefficients.reduceRight((sum, coefficient) => sum * x + coefficient, 0);
}

const centre: Rational = {
  above: [
    3.3871328727963665, 133.14166789178438, 1971.5909503065513, 13731.69376550946, 45921.95393154987, 67265.7709270087,
    33430.57558358813, 2509.0809287301227,
  ],
  below: [
    1, 42.31333070160091, 687.1870074920579, 5394.196021424751, 21213.794301586597, 39307.89580009271,
    28729.085735721943, 5226.495278852546,
  ],
};

const middle: Rational = {
  above: [
    1.4234371107496835, 4.630337846156546, 5.769497221460691, 3.6478483247632045, 1.2704582524523684,
    0.2417807251774506, 0.022723844989269184, 0.0007745450142783414,
  ],
  below: [
    1, 2.053191626637759, 1.6763848301838038, 0.6897673349851, 0.14810397642748008, 0.015198666563616457,
    0.0005475938084995345, 1.0507500716444169e-9,
  ],
};

const far: Rational = {
  above: [
    6.657904643501103, 5.463784911164114, 1.7848265399172913, 0.29656057182850487, 0.026532189526576124,
    0.0012426609473880784, 0.000027115555687434876, 2.0103343992922881e-7,
  ],
  below: [
    1, 0.599832206555888, 0.1369298809227358, 0.014875361290850615, 0.0007868691311456133, 0.000018463183175100548,
    1.421511758316446e-7, 2.0442631033899397e-15,
  ],
};
