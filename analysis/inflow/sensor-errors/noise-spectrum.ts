// Whether a level sensor's errors are independent from sample to sample, or wander: learned over many rests from how
// much of the residuals lies in slow and in quick waves. A wandering error tilts a whole rest and leaves little trace in
// it; the quicker waves of the same wandering, pooled over rests, give it away.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { inPlace } from "../../statistics/median.ts";
import { powerByDegree } from "../../statistics/power-by-degree.ts";
import { workplace } from "../../statistics/workplace.ts";

/** Orthogonal polynomials of these degrees: slower ones are the inflow's own, quicker ones tell no more. */
const lowest = 4;
const highest = 20;
const memory_rests = 300;
const memoryOfColour_rests = 30;
/** Times over which errors are tried to be forgotten; the last one as good as never. */
const forgets_s = [5, 10, 20, 40, 80, 160, 320, 1e5] as const;
/** Log of the odds for independent errors against wandering over any one time, before anything has been seen. */
const oddsForNone = 4;

const leastPower = 1e-9;

export interface NoiseSpectrumState {
  /** Mean square of the residuals' coefficient at each degree from `lowest` on, against their variance. */
  readonly power: number[];
  rests: number;
  /** Running mean of the rests' squared lengths, and of the samples' spacing. */
  squaredLength_s2: number;
  interval_s: number;
  /**
   * How many times the variance of neighbours' differences samples have had about their curves of late, by how much
   * their likeness has inflated the variance of a mean, and how many rests have been taken in.
   */
  readonly colour: number[];
  readonly inflation: number[];
  colours: number;
  /** Power if it is the same at all degrees: 1 for independent errors, more for ones that are forgotten within blocks. */
  flat: number;
  /** Per time of forgetting: how likely it is, and the power of the white and of the wandering part. */
  readonly likely: number[];
  readonly white: number[];
  readonly wandering: number[];
}

export function newNoiseSpectrum(): NoiseSpectrumState {
  return {
    power: Array.from({ length: highest - lowest + 1 }, () => 0),
    rests: 0,
    squaredLength_s2: 0,
    interval_s: 0,
    colour: [],
    inflation: [],
    colours: 0,
    flat: 1,
    likely: forgets_s.map(() => 0),
    white: forgets_s.map(() => 1),
    wandering: forgets_s.map(() => 0),
  };
}

/**
 * Variance of a rest's coefficient of degree `degree` (orthogonal over the samples, of unit norm) against the variance
 * of a sample about its curve: 1 for independent errors. Null before the first rest.
 *
 * White noise and an error that is forgotten exponentially (first-order autoregression), whose power at degree k is
 * taken as w + b / (1 + 2(2k−1)(2k+3)(τ/T)²): exact for τ → 0, and for a random walk, whose integral against a Legendre
 * polynomial of degree k over T has the variance D·T²/(2(2k−1)(2k+3)).
 */
export function noiseAt(
  state: NoiseSpectrumState,
  degree: number,
  length_s: number,
  interval_s: number,
): number | null {
  if (state.rests === 0) return null;
  // The same error sampled more often is more of it per sample, and no better known.
  const denser = interval_s > 0 ? state.interval_s / interval_s : 1;
  let expected = state.flat;
  for (let j = 0; j < forgets_s.length; j += 1) {
    const wandering = (state.wandering[j] ?? 0) * denser * share(degree, forgets_s[j] ?? 0, length_s ** 2);
    expected += (state.likely[j] ?? 0) * ((state.white[j] ?? 1) + wandering - state.flat);
  }
  // A level that never moves leaves crumbs of rounding, by which nothing may be divided.
  return Math.max(leastPower, expected);
}

/** Takes in the residuals of one rest about its curve; samples without weight are left out. */
export function learnNoise(
  state: NoiseSpectrumState,
  samples: CurveSamples,
  residual: Float64Array,
  variance: number,
): void {
  const power = powerByDegree(samples, residual, lowest, highest);
  if (power === null || !(variance > 0)) return;
  state.rests += 1;
  const step = 1 / Math.min(memory_rests, state.rests);
  for (let i = 0; i < state.power.length; i += 1) {
    state.power[i] = (state.power[i] ?? 0) + ((power.squares[i] ?? 0) / variance - (state.power[i] ?? 0)) * step;
  }
  state.squaredLength_s2 += (power.length_s ** 2 - state.squaredLength_s2) * step;
  state.interval_s += (power.interval_s - state.interval_s) * step;
  explain(state);
}

/** How many times the variance of neighbours' differences a sample usually has about its curve: 1 without wandering. */
export function usualColour({ colour }: NoiseSpectrumState): number {
  return Math.max(1, lowerQuartile(colour));
}

/** By how much the samples' likeness usually inflates the variance of a mean. */
export function usualInflation({ inflation }: NoiseSpectrumState): number {
  return Math.max(1, lowerQuartile(inflation));
}

/** Takes in one rest's. Rests that a curve has missed are no sensor's doing as long as a quarter are followed. */
export function learnColour(state: NoiseSpectrumState, colour: number, inflation: number): void {
  if (!Number.isFinite(colour)) return;
  state.colours += 1;
  state.colour.push(colour);
  state.inflation.push(inflation);
  if (state.colour.length <= memoryOfColour_rests) return;
  state.colour.shift();
  state.inflation.shift();
}

function lowerQuartile(values: readonly number[]): number {
  const count = values.length;
  if (count === 0) return 1;
  const ordered = orderedIn(count);
  for (let i = 0; i < count; i += 1) ordered[i] = values[i] as number;
  return inPlace(ordered, count, (count - 1) >> 2);
}

const orderedIn = workplace();

function share(degree: number, forget_s: number, squaredLength_s2: number): number {
  return 1 / (1 + (2 * (2 * degree - 1) * (2 * degree + 3) * forget_s ** 2) / squaredLength_s2);
}

/** How likely each time of forgetting is by what was seen (Whittle's likelihood), with the powers that fit it best. */
function explain(state: NoiseSpectrumState): void {
  const { power, squaredLength_s2, likely, white, wandering } = state;
  const flat = power.reduce((sum, p) => sum + p, 0) / power.length;
  if (!(flat > 0)) return;
  state.flat = flat;
  const rests = Math.min(memory_rests, state.rests);
  const course = courseIn(power.length);
  const none = likelihood(power, rests, flat, 0, course.fill(0, 0, power.length)) + oddsForNone;
  let most = none;
  for (let j = 0; j < forgets_s.length; j += 1) {
    for (let i = 0; i < power.length; i += 1) course[i] = share(lowest + i, forgets_s[j] ?? 0, squaredLength_s2);
    const { base, slope } = lineThrough(power, course);
    const possible = slope > 0 && base > 0;
    white[j] = possible ? base : 1;
    wandering[j] = possible ? slope : 0;
    likely[j] = possible ? likelihood(power, rests, base, slope, course) : Number.NEGATIVE_INFINITY;
    most = Math.max(most, likely[j] ?? 0);
  }
  let all = Math.exp(none - most);
  for (let j = 0; j < forgets_s.length; j += 1) {
    likely[j] = Math.exp((likely[j] ?? 0) - most);
    all += likely[j] ?? 0;
  }
  for (let j = 0; j < forgets_s.length; j += 1) likely[j] = (likely[j] ?? 0) / all;
}

const courseIn = workplace();

/** Weighted least squares of power on `x`, each known to a share of itself. */
function lineThrough(power: readonly number[], x: Float64Array): { readonly base: number; readonly slope: number } {
  let n = 0;
  let sx = 0;
  let sxx = 0;
  let sy = 0;
  let sxy = 0;
  for (let i = 0; i < power.length; i += 1) {
    const y = power[i] as number;
    const w = 1 / Math.max(y, 1e-12) ** 2;
    const at = x[i] as number;
    n += w;
    sx += w * at;
    sxx += w * at * at;
    sy += w * y;
    sxy += w * at * y;
  }
  const slope = (n * sxy - sx * sy) / (n * sxx - sx * sx);
  return { base: (sy - slope * sx) / n, slope };
}

/** Of white noise of the power `base`, and `slope` times a wandering of that course. */
function likelihood(
  power: readonly number[],
  rests: number,
  base: number,
  slope: number,
  course: Float64Array,
): number {
  let sum = 0;
  for (let i = 0; i < power.length; i += 1) {
    const v = base + slope * (course[i] as number);
    sum -= (rests / 2) * (Math.log(v) + (power[i] as number) / v);
  }
  return sum;
}
