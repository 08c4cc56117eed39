// How much water runs back after a stop, and how fast, learned over many rests: what one rest's noise hides, the mean
// of twenty shows.

import { type CurveFit, type CurveSamples, fitCurve } from "../../statistics/fit-curve.ts";
import { fitPolynomial, orthogonalAt } from "../../statistics/orthogonal-polynomial.ts";
import { samplesWithin } from "../../statistics/part-of-samples.ts";
import { workplace } from "../../statistics/workplace.ts";
import { closing_m3, type DrainBack, noReturn } from "./drain-back.ts";

/** Upper ends of the bins of time since the stop in which the missing water is averaged. */
const binEnds_s = [0.5, 1.5, 2.5, 3.5, 5, 7, 10, 14, 19, 25, 32, 40];
const after_s = 40;
/** Rests that tell: long enough to know the course of the filling well beyond the last bin. */
const longEnough_s = 120;
const fewestRests = 6;
const fewestSamples = 5;
const fewestLater = 24;
/** A course shorter than this says too little of where it came from. */
const shortestCourse_s = 240;
const clearlyRocking = 1.3;
/** Variances by which the first samples are off what was learned: half of what tells returned water apart by itself. */
const worthALook = 12;
/** Variances that returned water must explain in the averaged profile. */
const clear = 25;
const farOff = 60;
const muchRougher = 4;
const habit = 2;
/** Rests on end of which far less was missing than was learned: the valve closes again, and what was learned is past. */
const mendedFor = 3;
const farLess = 0.5;
/** … if as much was missing as the time before, but for this share. */
const alike = 0.25;
/** Mean of the logarithm of a standard normal's square, with the other sign: a mean of logarithms no pulse leads astray. */
const normalLog = 1.27036;
const least_m6 = 1e-14;
/** A course that cannot be followed tells nothing of what is missing at its beginning, unless the sensor is so now. */
const habitOfRough = 8;
const latestRests = 12;
const ofTheMean = [0.4, 1.6] as const;
/** Weight of the past at every new rest: a memory of some thirty. */
const memory = 0.97;

export interface ReturnProfileState {
  /** Per bin: weighted sums of the missing volume, of its squared distance from the usual, as a logarithm, of time and weight. */
  readonly missing_m3: number[];
  readonly logSquare: number[];
  readonly time_s: number[];
  readonly weight: number[];
  rests: number;
  /** Rests on end that were unlike those before. */
  oddInARow: number;
  /** What the last of them had missing at first; NaN when the last rest was like those before. */
  oddMissing_m3: number;
  /** What the latest rests had missing in their first three samples, newest last; and when those of the newest were. */
  readonly firsts_m3: number[];
  firstAt_s: number[];
  /** Variance of a single sample, averaged likewise. */
  variance_m6: number;
  /** … and that of the course at the stop, before its own samples begin, in variances of one. */
  astray: number;
}

export function newReturnProfile(): ReturnProfileState {
  return {
    missing_m3: binEnds_s.map(() => 0),
    logSquare: binEnds_s.map(() => 0),
    time_s: binEnds_s.map(() => 0),
    weight: binEnds_s.map(() => 0),
    rests: 0,
    oddInARow: 0,
    oddMissing_m3: Number.NaN,
    firsts_m3: [],
    firstAt_s: [],
    variance_m6: 0,
    astray: 0,
  };
}

/**
 * Adds what a rest's first samples fall short of the course of its later ones. Reads the samples' weights as they are.
 *
 * @param samples condensed, but for the first part of the rest
 * @param all     not condensed
 * @param isPlain a cubic follows the whole rest
 * @returns whether the first samples are unlike what was learned before: then the rest is worth a look of its own
 */
export function learnReturn(
  profile: ReturnProfileState,
  samples: CurveSamples,
  all: CurveSamples,
  duration_s: number,
  learned: DrainBack | null,
  isPlain = false,
): boolean {
  if (duration_s < longEnough_s) return true;
  const { t, y, weight, count } = samples;
  let first = 0;
  while (first < count && (t[first] ?? 0) < after_s) first += 1;
  if (first < 8 || count - first < fewestLater) return true;
  const course = isPlain
    ? fitCurve(samplesWithin(samples, after_s, duration_s), 3)
    : courseAfter(samples, all, duration_s);
  if (course === undefined) return true;
  const variance_m6 = course.residualSquares / Math.max(1, course.count - 4);
  const missing_m3 = missingIn(first);
  for (let i = 0; i < first; i += 1) missing_m3[i] = course.valueAt(t[i] ?? 0) - (y[i] ?? 0);
  const off_m6 = learned === null ? null : offBy(profile, samples, missing_m3, first, learned);
  const unlike = off_m6 === null || off_m6 > worthALook * variance_m6;
  // Something that came in right after one stop, or later, is no habit of the valve; what comes twice may be.
  const rough = profile.rests > 0 && variance_m6 > muchRougher * profile.variance_m6;
  const odd = rough || (off_m6 !== null && off_m6 > farOff * variance_m6);
  const first_m3 = meanOfFirst(missing_m3);
  const usualFirst_m3 = learned === null ? 0 : meanStillOut_m3(learned, t);
  const less = usualFirst_m3 > 0 && first_m3 < farLess * usualFirst_m3;
  const again = isAgain(profile.oddMissing_m3, first_m3, less ? usualFirst_m3 : 0);
  profile.oddInARow = !odd ? 0 : rough || again ? profile.oddInARow + 1 : 1;
  profile.oddMissing_m3 = odd ? first_m3 : Number.NaN;
  if (odd && less && !rough && profile.oddInARow >= mendedFor) Object.assign(profile, newReturnProfile());
  if (odd && profile.oddInARow < (rough ? habitOfRough : habit)) return unlike;
  const usually_m3 = usuallyIn(binEnds_s.length);
  for (let b = 0; b < binEnds_s.length; b += 1) {
    const w = profile.rests === 0 ? 0 : (profile.weight[b] ?? 0);
    usually_m3[b] = w > 0 ? (profile.missing_m3[b] ?? 0) / w : Number.NaN;
  }
  for (const column of [profile.missing_m3, profile.logSquare, profile.time_s, profile.weight]) {
    for (let b = 0; b < binEnds_s.length; b += 1) column[b] = (column[b] ?? 0) * memory;
  }
  let bin = 0;
  for (let i = 0; i < first; i += 1) {
    const time_s = t[i] ?? 0;
    const w = weight[i] ?? 0;
    const missing = missing_m3[i] ?? 0;
    while (time_s > (binEnds_s[bin] ?? Number.POSITIVE_INFINITY)) bin += 1;
    const before_m3 = usually_m3[bin] as number;
    const usual_m3 = Number.isNaN(before_m3) ? missing : before_m3;
    profile.missing_m3[bin] = (profile.missing_m3[bin] ?? 0) + w * missing;
    profile.logSquare[bin] = (profile.logSquare[bin] ?? 0) + w * Math.log((missing - usual_m3) ** 2 + least_m6);
    profile.time_s[bin] = (profile.time_s[bin] ?? 0) + w * time_s;
    profile.weight[bin] = (profile.weight[bin] ?? 0) + w;
  }
  profile.firstAt_s = [t[0] as number, t[1] as number, t[2] as number];
  profile.firsts_m3.push(first_m3);
  if (profile.firsts_m3.length > latestRests) profile.firsts_m3.shift();
  const share = 1 / Math.min(30, profile.rests + 1);
  profile.variance_m6 += share * (variance_m6 - profile.variance_m6);
  profile.astray += share * (astrayAtStop(course) - profile.astray);
  profile.rests += 1;
  return unlike;
}

const missingIn = workplace();
const usuallyIn = workplace();

/** Variance of a course at the stop, which it is carried on to, in variances of a sample. */
function astrayAtStop({ polynomial }: CurveFit): number {
  return polynomial.norms.reduce((sum, norm, k) => sum + orthogonalAt(polynomial, k, 0) ** 2 / norm, 0);
}

/**
 * A cubic through what comes after the first part, as near to it as it takes for a cubic to follow: inflow that slows as
 * the ground's head is reached bends a long rest in more ways, and the cubic would miss the beginning.
 */
function courseAfter(samples: CurveSamples, all: CurveSamples, duration_s: number): CurveFit | undefined {
  let part = samplesWithin(samples, after_s, duration_s);
  for (let to_s = duration_s / 2; to_s >= shortestCourse_s && bendsFurther(part); to_s /= 2) {
    const nearer = samplesWithin(all, after_s, to_s);
    if (nearer.count < fewestLater) break;
    part = nearer;
  }
  return fitCurve(part, 3);
}

/** Two terms more explain two variances of pure noise. */
function bendsFurther(samples: CurveSamples): boolean {
  const fit = fitPolynomial(samples, 5);
  if (fit === undefined) return false;
  const explainedBy = (k: number) => (fit.orthogonal[k] ?? 0) ** 2 * (fit.norms[k] ?? 0);
  const variance = fit.residualSquares / Math.max(1, fit.used - 6);
  return explainedBy(4) + explainedBy(5) > clear * variance;
}

function meanOfFirst(missing_m3: Float64Array): number {
  return ((missing_m3[0] as number) + (missing_m3[1] as number) + (missing_m3[2] as number)) / 3;
}

/** … as it would be by what was learned. */
function meanStillOut_m3(learned: DrainBack, at_s: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < 3; i += 1) sum += stillOut_m3(learned, at_s[i] ?? 0);
  return sum / 3;
}

/** A valve lets the same through every time, or next to nothing of what it did; what pours in does so for as long as it likes. */
function isAgain(before_m3: number, now_m3: number, usual_m3: number): boolean {
  return Math.abs(now_m3 - before_m3) < alike * Math.max(Math.abs(before_m3), Math.abs(now_m3), usual_m3);
}

function stillOut_m3({ volume_m3, time_s }: DrainBack, at_s: number): number {
  return volume_m3 === 0 ? 0 : volume_m3 * Math.exp(-at_s / time_s);
}

/** Squares by which a rest's first samples are off what was learned, less what is to be expected of them. */
function offBy(
  profile: ReturnProfileState,
  { t, weight }: CurveSamples,
  missing_m3: Float64Array,
  count: number,
  learned: DrainBack,
): number {
  let off = 0;
  let bin = 0;
  let rocking = rockingOf(profile, bin);
  for (let i = 0; i < count; i += 1) {
    const at_s = t[i] ?? 0;
    const w = weight[i] ?? 0;
    while (at_s > (binEnds_s[bin] ?? Number.POSITIVE_INFINITY)) rocking = rockingOf(profile, ++bin);
    if (w <= 0) continue;
    off += w * ((missing_m3[i] ?? 0) - stillOut_m3(learned, at_s)) ** 2 - profile.variance_m6 * rocking;
  }
  return off;
}

/**
 * Takes weight from the first samples of a rest as far as they have been found to scatter more than later ones: the
 * surface rocks after a stop, and no curve follows that.
 */
export function lightenRocking(profile: ReturnProfileState, { t, weight, count }: CurveSamples): void {
  if (profile.rests < fewestRests || !(profile.variance_m6 > 0)) return;
  let bin = 0;
  let rocking = rockingOf(profile, bin);
  for (let i = 0; i < count && (t[i] ?? 0) < after_s; i += 1) {
    while ((t[i] ?? 0) > (binEnds_s[bin] ?? Number.POSITIVE_INFINITY)) rocking = rockingOf(profile, ++bin);
    if (rocking > clearlyRocking) weight[i] = (weight[i] ?? 0) / rocking;
  }
}

/** How many times the variance of later samples those of a bin have; 1 while too few are known. */
function rockingOf(profile: ReturnProfileState, bin: number): number {
  const w = profile.weight[bin] ?? 0;
  if (w < fewestSamples || !(profile.variance_m6 > 0)) return 1;
  return Math.max(1, Math.exp(normalLog + (profile.logSquare[bin] ?? 0) / w) / profile.variance_m6);
}

/** D and τ of D·exp(−t/τ) through the averaged profile; volume 0 when nothing stands out; null while too few rests. */
export function learnedReturn(profile: ReturnProfileState): DrainBack | null {
  if (profile.rests < fewestRests) return null;
  const found = bestCourse(profile, 1);
  return found.volume_m3 < closing_m3 || isHabit(profile, found) ? found : noReturn;
}

/** What poured in after a few stops makes a mean, too: of much water half the rests must have had about as much missing. */
function isHabit({ firsts_m3, firstAt_s }: ReturnProfileState, found: DrainBack): boolean {
  const usual_m3 = meanStillOut_m3(found, firstAt_s);
  const [least, most] = ofTheMean;
  const alike = firsts_m3.filter((first_m3) => first_m3 > least * usual_m3 && first_m3 < most * usual_m3);
  return alike.length > firsts_m3.length / 2;
}

/** Quicker sensors spoil nothing, and waves on the water may look like one. */
const slow_s = 1;
/** Of what a sensor that is so slow would show: the time that the excess takes to go, and how much it is, agree so well. */
const agreesTo = 2.2;

/**
 * A slow sensor: after a stop the level goes on falling for a while, since it still has some of the run to show. Of one that
 * follows the water with a time constant τ the level stands too high at the stop by what the water fell within τ, and the
 * excess fades with τ. No water does that.
 *
 * @param fall_m3s how fast the volume fell in the run, about
 * @returns D below 0 and τ of the excess; null where the sensor is quick, or that is not known
 */
export function learnedLag(profile: ReturnProfileState, fall_m3s: number | null): DrainBack | null {
  if (profile.rests < fewestRests || fall_m3s === null) return null;
  const excess = bestCourse(profile, -1);
  if (excess.volume_m3 === 0 || excess.time_s < slow_s) return null;
  const ratio = -excess.volume_m3 / (fall_m3s * excess.time_s);
  return ratio > 1 / agreesTo && ratio < agreesTo ? excess : null;
}

/**
 * Of what is missing (sign 1), or too much (−1). Where the course of a rest went astray all its first samples did together:
 * what would clearly be seen among independent errors then may be nothing.
 */
function bestCourse(profile: ReturnProfileState, sign: 1 | -1): DrainBack {
  let best: DrainBack = { volume_m3: 0, time_s: 0, course: "fading" };
  let bestGain = clear * profile.variance_m6;
  // By Schwarz's inequality no course explains more.
  let most = 0;
  for (let b = 0; b < binEnds_s.length; b += 1) {
    const w = profile.weight[b] ?? 0;
    if (w > 0) most += (profile.missing_m3[b] ?? 0) ** 2 / w;
  }
  if (most < 0.999 * bestGain) return best;
  const ofRests = (1 - memory ** profile.rests) / (1 - memory);
  const middle_s = profile.time_s.map((sum, b) => sum / (profile.weight[b] ?? 0));
  for (let time_s = 0.5; time_s <= 20; time_s *= 1.4) {
    let product = 0;
    let square = 0;
    for (let b = 0; b < binEnds_s.length; b += 1) {
      const w = profile.weight[b] ?? 0;
      if (w === 0) continue;
      const left = Math.exp(-(middle_s[b] as number) / time_s);
      product += (profile.missing_m3[b] ?? 0) * left;
      square += w * left * left;
    }
    const volume_m3 = product / square;
    const gain = volume_m3 * product;
    const together = 1 + (profile.astray * square) / ofRests;
    if (sign * volume_m3 > 0 && gain > bestGain && gain > together * clear * profile.variance_m6) {
      best = { volume_m3, time_s, course: "fading" };
      bestGain = gain;
    }
  }
  return best;
}
