// The stored volume of one rest or run as a curve: a polynomial of the lowest degree that shows no clear bend, or, when
// even a cubic does not follow (a storm that breaks in the middle of a long rest), straight pieces.

import { varianceInflation } from "../statistics/autocorrelation.ts";
import { type CurveFit, type CurveSamples, fitCurve } from "../statistics/fit-curve.ts";
import { rejectOutliers } from "../statistics/robust-weights.ts";
import { condensed } from "./condensed.ts";
import { learnNoise } from "./noise-spectrum.ts";
import type { RestMemory } from "./rest-memory.ts";
import { type LeakingBack, shapedCurve } from "./shaped-curve.ts";

export interface VolumeCurve {
  valueAt(t: number): number;
  /** Mean slope between two times and its variance. */
  meanSlope(from: number, to: number): { readonly slope: number; readonly variance: number };
  /** Standard deviation of a sample of weight 1 about the curve. */
  readonly sampleSd: number;
  readonly degreesOfFreedom: number;
  /** Volume of the water that leaks back in all; 0 without. */
  readonly leaking_m3: number;
}

const highestDegree = 3;
/** Residuals whose likeness makes a slope's variance so many times that of independent ones show a missed shape. */
const missedShape = 4;
const fewestForPieces = 64;
const fewestForNoise = 120;
/** A bend counts from so many times its own variance. */
const clearBend = 14;
/** … and so many times the variance about straight pieces tells a missed shape from a sensor that wanders. */
const farFromIt = 4;

/**
 * @param leak   water that comes back meanwhile, fitted beside the polynomial; it is left out of values and slopes
 * @param memory what earlier stretches of the kind have shown of bends and noise, which takes this one in; null for a
 *               stretch that stands alone
 */
export function volumeCurve(
  fine: CurveSamples,
  leak: LeakingBack | null,
  memory: RestMemory | null,
): VolumeCurve | undefined {
  const extra = leak?.stillOut ?? null;
  const samples = memory === null ? fine : condensed(fine);
  const bendable = samples.count >= 12;
  const first = (bendable ? fitCurve(samples, highestDegree, extra) : undefined) ?? fitCurve(samples, 1, extra);
  if (first === undefined) return undefined;
  rejectOutliers(samples, first.valueAt);
  const full = (bendable ? fitCurve(samples, highestDegree, extra) : undefined) ?? fitCurve(samples, 1, extra);
  if (full === undefined) return undefined;
  const noise = noiseAbout(samples, full);
  if (noise.inflation > missedShape && samples.count >= fewestForPieces) {
    const pieces = straightPieces(fine);
    if (pieces !== undefined && noise.variance > farFromIt * pieces.sampleSd ** 2) return pieces;
  }
  if (memory !== null && bendable && full.degree === highestDegree) {
    if (samples.count >= fewestForNoise) noteNoise(samples, full, noise.variance, memory);
    const degreesOfFreedom = Math.max(1, full.count / noise.inflation - full.size);
    const shaped = shapedCurve(samples, leak, memory, { ...noise, degreesOfFreedom });
    if (shaped !== undefined) return shaped;
  }
  const fit = lowestDegree(samples, extra, full, noise.variance * noise.inflation);
  return fromPolynomial(samples, fit, extra);
}

function noteNoise(samples: CurveSamples, fit: CurveFit, variance: number, { noise }: RestMemory): void {
  const residual = new Float64Array(samples.count);
  for (let i = 0; i < samples.count; i += 1) residual[i] = (samples.y[i] ?? 0) - fit.valueAt(samples.t[i] ?? 0);
  learnNoise(noise, samples, residual, variance);
}

function lowestDegree(
  samples: CurveSamples,
  extra: ((t: number) => number) | null,
  full: CurveFit,
  variance: number,
): CurveFit {
  let fit = full;
  for (let degree = full.degree; degree > 1 && fit.topRatio ** 2 < clearBend * variance; degree -= 1) {
    fit = fitCurve(samples, degree - 1, extra) ?? fit;
  }
  return fit;
}

function fromPolynomial(samples: CurveSamples, fit: CurveFit, extra: ((t: number) => number) | null): VolumeCurve {
  const { variance, inflation } = noiseAbout(samples, fit);
  return {
    valueAt: (t) => fit.valueAt(t) - (extra === null ? 0 : fit.extraCoefficient * extra(t)),
    meanSlope: (from, to) => {
      const mean = fit.meanSlope(from, to);
      return { slope: mean.slope, variance: mean.variance * variance * inflation };
    },
    sampleSd: Math.sqrt(variance),
    degreesOfFreedom: Math.max(1, fit.count / inflation - fit.size),
    leaking_m3: extra === null ? 0 : -fit.extraCoefficient,
  };
}

function noiseAbout(samples: CurveSamples, fit: CurveFit): { variance: number; inflation: number } {
  const residuals = new Float64Array(samples.count);
  let count = 0;
  for (let i = 0; i < samples.count; i += 1) {
    const w = samples.weight[i] ?? 0;
    if (w <= 0) continue;
    residuals[count] = ((samples.y[i] ?? 0) - fit.valueAt(samples.t[i] ?? 0)) * Math.sqrt(w);
    count += 1;
  }
  const variance = fit.residualSquares / Math.max(1, fit.count - fit.size);
  return { variance, inflation: varianceInflation(residuals, count) };
}

interface Knot {
  readonly t: number;
  readonly volume: number;
  readonly variance: number;
}

/**
 * A straight line from middle to middle of pieces of equal numbers of samples, and on through the ends: what came in
 * between two times is kept, however sudden it came.
 */
function straightPieces(samples: CurveSamples): VolumeCurve | undefined {
  const knots: Knot[] = [];
  const number = Math.min(32, Math.max(4, samples.count >> 4));
  let squares = 0;
  let freedom = 0;
  for (let p = 0; p < number; p += 1) {
    const start = Math.floor((samples.count * p) / number);
    const end = Math.floor((samples.count * (p + 1)) / number);
    const part = slice(samples, start, end);
    const fit = fitCurve(part, 1);
    if (fit === undefined) continue;
    squares += fit.residualSquares;
    freedom += fit.count - 2;
    const at = (t: number, share: number) => knots.push({ t, volume: fit.valueAt(t), variance: share / fit.count });
    const first = part.t[0] ?? 0;
    const last = part.t[part.count - 1] ?? 0;
    // A line is known best in its middle, and to four times that variance at its ends.
    if (knots.length === 0) at(first, 4);
    at((first + last) / 2, 1);
    if (p === number - 1) at(last, 4);
  }
  const variance = squares / Math.max(1, freedom);
  if (knots.length < 2) return undefined;
  return {
    valueAt: (t) => knotsAt(knots, t).volume,
    meanSlope: (from, to) => {
      const a = knotsAt(knots, from);
      const b = knotsAt(knots, to);
      return {
        slope: (b.volume - a.volume) / (to - from),
        variance: ((a.variance + b.variance) * variance) / (to - from) ** 2,
      };
    },
    sampleSd: Math.sqrt(variance),
    degreesOfFreedom: Math.max(1, freedom),
    leaking_m3: 0,
  };
}

/** Between two knots, or along the line of the outermost two beyond them. */
function knotsAt(knots: readonly Knot[], t: number): Knot {
  let i = 1;
  while (i < knots.length - 1 && t > (knots[i]?.t ?? 0)) i += 1;
  const a = knots[i - 1];
  const b = knots[i];
  if (a === undefined || b === undefined) return { t, volume: Number.NaN, variance: Number.NaN };
  const share = (t - a.t) / (b.t - a.t);
  return {
    t,
    volume: a.volume + share * (b.volume - a.volume),
    variance: a.variance * (1 - share) ** 2 + b.variance * share ** 2,
  };
}

function slice(samples: CurveSamples, start: number, end: number): CurveSamples {
  return {
    t: samples.t.subarray(start, end),
    y: samples.y.subarray(start, end),
    weight: samples.weight.subarray(start, end),
    count: end - start,
  };
}
