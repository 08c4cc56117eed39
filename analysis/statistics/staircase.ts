// How far a line through readings that were rounded to steps may be off: a rise that meets the steps at every phase is known
// far better than a reading, one that keeps in time with them no better than a step.

/** Higher harmonics of the rounding error are noise: what is left of the variance counts as independent. */
const harmonics = 8;
const tried = [-1, -0.75, -0.5, -0.25, 0, 0.25, 0.5, 0.75, 1] as const;

/**
 * Standard deviation of the rise of a straight line, fitted by least squares over evenly spaced samples, each of which has
 * been rounded to whole steps.
 *
 * The rounding error of y is the sum of sin(2π·q·y)/(π·q), each harmonic lessened by noise before the rounding to
 * exp(−2π²q²σ²); along a line it is a wave, which sampling may fold into a slow one. A wave of any phase over the samples
 * tilts the line as its share in the first Legendre polynomial does.
 *
 * @param rise    over all the samples, in steps
 * @param samples how many
 * @param noise   standard deviation of a reading before it was rounded, in steps
 * @returns in steps
 * @see B. Widrow, I. Kollár: Quantization Noise (2008), for the characteristic function of rounding; recalled, not looked up
 */
export function uRiseOfSteps(rise: number, samples: number, noise: number): number {
  if (!(samples > 1)) return Number.POSITIVE_INFINITY;
  const perSample = Math.abs(rise) / (samples - 1);
  let tilt = 0;
  let left = 1 / 12;
  for (let q = 1; q <= harmonics; q += 1) {
    const height = Math.exp(-2 * (Math.PI * q * noise) ** 2) / (Math.PI * q);
    const waves = samples * Math.abs(q * perSample - Math.round(q * perSample));
    tilt += ((12 * height) ** 2 * squareAbout(waves)) / 2;
    left -= height ** 2 / 2;
  }
  const white = Math.max(0, left) + noise ** 2;
  return Math.sqrt(tilt + (12 * white * (samples - 1)) / (samples * (samples + 1)));
}

/** The rise itself is known to a step only, and so is how many waves stand over the samples: mean over one more and less. */
function squareAbout(waves: number): number {
  let sum = 0;
  for (const more of tried) sum += tiltOfWave(2 * Math.PI * Math.abs(waves + more)) ** 2;
  return sum / tried.length;
}

/** ∫ x·sin(w·x) dx over −½ … ½. */
function tiltOfWave(w: number): number {
  if (w < 1e-3) return w / 12;
  return 2 * (Math.sin(w / 2) / w ** 2 - Math.cos(w / 2) / (2 * w));
}
