// The stored volume of a rest as a cubic whose bends are held to what the rests before have shown, with the water that
// leaks back beside it. Where inflow has been steady the bends vanish and the slope is as sharp as a straight line's;
// where it has been bending they stand, and the uncertainty says so.

import { addFunction } from "../../statistics/extra-function.ts";
import type { CurveSamples } from "../../statistics/fit-curve.ts";
import {
  fitPolynomial,
  orthogonalAt,
  type PolynomialFit,
  sumOfFunctions,
} from "../../statistics/orthogonal-polynomial.ts";
import { functionOf } from "../../statistics/polynomial.ts";
import { noiseAt } from "../sensor-errors/noise-spectrum.ts";
import { driftPerSecond } from "../sensor-errors/sensor-drift.ts";
import { weightOf } from "./condensed.ts";
import type { RestMemory } from "./rest-memory.ts";
import { type Bend, expectedBend, learnBend, wanderingOfSensor } from "./rest-shape.ts";
import type { VolumeCurve } from "./volume-curve.ts";

/** Of the cubic's coefficient, in variances: so much does noise alone not bend it. */
const clearlyBent = 14;
/** So many times the variance that independent errors give a slope. */
const clearlyWandering = 3;

/** A random walk's power in the coefficient of degree k against that of the third: as 1/((2k−1)(2k+3)). */
function walkPower(k: number): number {
  return k === 0 ? 0 : 45 / ((2 * k - 1) * (2 * k + 3));
}

/** Water that leaks back while the rest lasts. */
export interface LeakingBack {
  /** Share that is still to come at time t. */
  readonly stillOut: (t: number) => number;
  /** What is known of its volume beforehand; a standard deviation of Infinity if nothing is. */
  readonly volume_m3: number;
  readonly uVolume_m3: number;
}

/**
 * @param cubic through the samples of the rest
 * @param noise variance of a sample about the full cubic, and how many times that of independent ones its likeness makes
 */
export function shapedCurve(
  cubic: PolynomialFit,
  leak: LeakingBack | null,
  memory: RestMemory,
  noise: { readonly variance: number; readonly inflation: number; readonly degreesOfFreedom: number },
): VolumeCurve {
  const { samples } = cubic;
  // A rest that a cubic bends clearly may bend in more ways; one that it does not cannot.
  const bent = (cubic.orthogonal[3] ?? 0) ** 2 * (cubic.norms[3] ?? 0) > clearlyBent * noise.variance * noise.inflation;
  const carried = isCarriedFar(samples);
  const fit = (bent && !carried ? fitPolynomial(samples, 5) : undefined) ?? cubic;
  const degree = fit.norms.length - 1;
  const length_s = 2 * fit.half;
  const interval_s = length_s / Math.max(1, weightOf(samples) - 1);
  /** Variance of the coefficient of each orthogonal function: by what the residuals show, and with what wanders for hours. */
  const quick = fit.norms.map((norm, k) => {
    const share = k === 0 ? null : noiseAt(memory.noise, k, length_s, interval_s);
    return (noise.variance * (share ?? noise.inflation)) / norm;
  });
  const wandering = wanderingOfSensor(memory.shape);
  const third = (quick[3] ?? 0) * (fit.norms[3] ?? 1) * wandering;
  const variance = quick.map((own, k) => own + (third * walkPower(k)) / (fit.norms[k] ?? 1));
  // The slope's function rises by 2 over the rest.
  const wanders = wandering > 0 || (quick[1] ?? 0) * (fit.norms[1] ?? 0) > clearlyWandering * noise.variance;
  const drift = (driftPerSecond(memory.drift, wanders) * length_s) / 4;
  variance[1] = Math.max(variance[1] ?? 0, (quick[1] ?? 0) + drift);
  const added = leak === null ? undefined : addFunction(fit, leak.stillOut);
  const shares = added?.shares ?? [];
  const own = added === undefined ? null : leakByItself(leak, added, noise.variance * noise.inflation);
  /** By degree: what has none of a bend, the level and the slope, comes first. */
  const bends: (HeldBend | null)[] = [null, null];
  for (let k = 2; k <= degree; k += 1) {
    const its = { own: quick[k] ?? 0, all: variance[k] ?? 0, wandering: wandering * walkPower(k) };
    bends.push(bendOf(fit, k, own, shares[k] ?? 0, its, memory, carried));
  }
  const leaking = own === null ? { value: 0, variance: 0 } : leakWithBends(own, bends, shares);
  // What a polynomial can stand in for the samples cannot tell: the leak is then as well known as it was before.
  const uHidden_m3 = leak !== null && added === undefined ? leak.uVolume_m3 : 0;

  /** Coefficients without the leak; how far each follows its own data. */
  const coefficient: number[] = [];
  const follows: number[] = [];
  for (let k = 0; k <= degree; k += 1) {
    const seen = (fit.orthogonal[k] ?? 0) + leaking.value * (shares[k] ?? 0);
    const bend = bends[k] ?? null;
    follows.push(bend === null ? 1 : bend.follows);
    coefficient.push(bend === null ? seen : bend.expected + bend.follows * (seen - bend.expected));
  }
  return {
    valueAt: functionOf(sumOfFunctions(fit, degree, (k) => coefficient[k] ?? 0)),
    meanSlope: (from, to) => {
      let rise = 0;
      let square = 0;
      let shared = 0;
      for (let k = 1; k <= degree; k += 1) {
        const step = orthogonalAt(fit, k, to) - orthogonalAt(fit, k, from);
        const follow = follows[k] ?? 1;
        rise += (coefficient[k] ?? 0) * step;
        square += step ** 2 * (follow * (variance[k] ?? 0) + (bends[k]?.doubt ?? 0));
        shared += step * follow * (shares[k] ?? 0);
      }
      const span = to - from;
      const hidden = uHidden_m3 === 0 ? 0 : uHidden_m3 * ((leak?.stillOut(from) ?? 0) - (leak?.stillOut(to) ?? 0));
      return { slope: rise / span, variance: (square + shared ** 2 * leaking.variance + hidden ** 2) / span ** 2 };
    },
    sampleSd: Math.sqrt(noise.variance),
    degreesOfFreedom: noise.degreesOfFreedom,
    leaking_m3: leaking.value,
  };
}

/**
 * Where more than this share of a rest is left out at its beginning, the few samples after it may bend as they like: the
 * curve is carried back over that as other rests bend, not by bends of its own. Judgement, no source.
 */
const carriesOn = 0.15;

function isCarriedFar({ t, weight, count }: CurveSamples): boolean {
  const used = weight.findIndex((w, i) => i < count && w > 0);
  const [first_s, last_s] = [t[0] as number, t[count - 1] as number];
  return (t[used] as number) - first_s > carriesOn * (last_s - first_s);
}

function leakByItself(
  leak: LeakingBack | null,
  added: { readonly coefficient: number; readonly norm: number },
  variance: number,
): Bend {
  const seen = added.norm / variance;
  const known = leak === null || leak.uVolume_m3 === Number.POSITIVE_INFINITY ? 0 : 1 / leak.uVolume_m3 ** 2;
  return {
    value: (-added.coefficient * seen + (leak?.volume_m3 ?? 0) * known) / (seen + known),
    variance: 1 / (seen + known),
  };
}

interface HeldBend {
  readonly expected: number;
  /** 0: the coefficient is what was expected; 1: what the rest itself shows. */
  readonly follows: number;
  /** Variance for not knowing whether this rest is like those before. */
  readonly doubt: number;
  /** What the leak would have to explain, and with which variance. */
  readonly missing: number;
  readonly missingVariance: number;
}

/** A bend as the coefficient of the monic polynomial of its degree k: the inflow's (k − 1)th derivative over k!, scaled. */
function bendOf(
  fit: PolynomialFit,
  degree: number,
  leak: Bend | null,
  share: number,
  variance: { readonly own: number; readonly all: number; readonly wandering: number },
  memory: RestMemory,
  carried: boolean,
): HeldBend {
  const scale = factorial(degree) / fit.half ** degree;
  const sums = memory.shape[degree - 2];
  const seen = fit.orthogonal[degree] ?? 0;
  const value = scale * (seen + (leak?.value ?? 0) * share);
  const byLeak = share ** 2 * (leak?.variance ?? 0);
  if (sums === undefined) {
    return { expected: 0, follows: 1, doubt: 0, missing: 0, missingVariance: Number.POSITIVE_INFINITY };
  }
  const prior = expectedBend(sums, { value, variance: scale ** 2 * (variance.all + byLeak) }, variance.wandering);
  learnBend(sums, { value, variance: scale ** 2 * (variance.own + byLeak) }, prior.odd);
  const spread = prior.variance / scale ** 2;
  const expected = prior.value / scale;
  const alike = spread / (spread + variance.all);
  const odd = carried ? 0 : prior.odd;
  return {
    expected,
    follows: alike + odd * (1 - alike),
    doubt: prior.odd * (1 - prior.odd) * ((1 - alike) * (value / scale - expected)) ** 2,
    missing: expected - seen,
    missingVariance: (spread + variance.all) / (1 - prior.odd),
  };
}

/** The leak's volume from its own trace and from the bends that it would have to make. */
function leakWithBends(own: Bend, bends: readonly (HeldBend | null)[], shares: readonly number[]): Bend {
  let precision = 1 / own.variance;
  let sum = own.value * precision;
  bends.forEach((bend, k) => {
    if (bend === null) return;
    const share = shares[k] ?? 0;
    precision += share ** 2 / bend.missingVariance;
    sum += (share * bend.missing) / bend.missingVariance;
  });
  return { value: sum / precision, variance: 1 / precision };
}

function factorial(k: number): number {
  return k <= 1 ? 1 : k * factorial(k - 1);
}
