// The stored volume of one rest or run as a curve: a polynomial of the lowest degree that shows no clear bend, or, when
// even a cubic does not follow (water that pours in for a minute, a storm that breaks), straight pieces.

import { varianceInflation } from "../../statistics/autocorrelation.ts";
import { type CurveFit, type CurveSamples, fitCurve, type TimeFunction } from "../../statistics/fit-curve.ts";
import { ratioOf } from "../../statistics/orthogonal-polynomial.ts";
import { partOfSamples } from "../../statistics/part-of-samples.ts";
import { rejectOutliers } from "../../statistics/robust-weights.ts";
import { workplace } from "../../statistics/workplace.ts";
import { missesEnds } from "../poured-in/pouring-in.ts";
import { learnColour, learnNoise, usualColour, usualInflation } from "../sensor-errors/noise-spectrum.ts";
import { learnShortStretches } from "../sensor-errors/short-stretch.ts";
import { condensed } from "./condensed.ts";
import type { RestMemory } from "./rest-memory.ts";
import { type LeakingBack, shapedCurve } from "./shaped-curve.ts";
import { type PiecedCurve, straightPieces } from "./straight-pieces.ts";

export interface VolumeCurve {
  valueAt(t: number): number;
  /** Mean slope between two times and its variance. */
  meanSlope(from: number, to: number): { readonly slope: number; readonly variance: number };
  /** Standard deviation of a sample of weight 1 about the curve. */
  readonly sampleSd: number;
  readonly degreesOfFreedom: number;
  /** So many times the uncertainty of a line through the same samples has its mean slope, for its bends; absent: not reckoned. */
  beyondLine?(from: number, to: number): number;
  /** Volume of the water that leaks back in all; 0 without. */
  readonly leaking_m3: number;
  /** Of straight pieces: when the first of them ends and the last begins. Absent for one smooth curve. */
  readonly breaks?: { readonly first: number; readonly last: number };
}

const highestDegree = 3;
/** Of so many samples a curve shows its bends by itself; of fewer, how other rests bend tells more. */
const fewestAlone = 12;
/** Fewer leave a cubic no room to show how far they scatter. */
const fewestBent = 6;
/** Residuals whose likeness makes a slope's variance so many times that of independent ones show a missed shape. */
const missedShape = 4;
const fewestForPieces = 64;
/** So many times the variance that samples usually have about a curve is no noise. */
const missing = 6;
/** … and so many times the variance about straight pieces tells a missed shape from a sensor that wanders. */
const farFromIt = 4;
/** Closer together than this a storm that breaks is followed into the run. */
const farApart_s = 20;
/** Of a few samples more is asked: a flood after hours of little, where readings come once a minute. */
const plainly = 10;
/** … and that it quickens: steps of a coarse sensor part a steady rise as well. */
const clearlyQuicker = 1.7;
/** Of water that pours in by turns, against a sensor that wanders. Judgement, no source. */
const fewPieces = 6;
const muchQuicker = 3;
const nearlyAll = 20;
const fewestForNoise = 120;
const wellKnown_rests = 100;
/** Steps of a sensor may leave no residual: no volume is known better than to a millilitre. */
const least_m3 = 1e-6;
/** A bend counts from so many times its own variance. */
const clearBend = 14;

/**
 * @param leak   water that comes back meanwhile, fitted beside the polynomial; it is left out of values and slopes
 * @param memory what earlier stretches of the kind have shown of bends and noise, which takes this one in; null for a
 *               stretch that stands alone
 * @param sd_m3  of a sample, by how neighbours differ, of a stretch without spikes; null where that is not known
 * @param leastSd_m3 of a sample, as other stretches have shown it: a dozen samples show their own noise so roughly that one
 *                   in a hundred curves would bend by chance, and sound samples would pass for spikes. 0: not known
 */
export function volumeCurve(
  fine: CurveSamples,
  leak: LeakingBack | null,
  memory: RestMemory | null,
  sd_m3: number | null = null,
  leastSd_m3 = 0,
): VolumeCurve | undefined {
  const samples = memory === null ? fine : condensed(fine);
  const bendable = samples.count >= fewestAlone;
  const cubic = bendable || (memory !== null && samples.count >= fewestBent);
  // A line and a leak of any size go through whatever few samples say: beside so few the leak is as it is known to be.
  const isHeld = memory !== null && leak !== null && !cubic;
  const extra = isHeld ? null : (leak?.stillOut ?? null);
  const first = curveThrough(samples, extra, cubic);
  if (first === undefined) return undefined;
  const refit = sd_m3 === null && leavesOut(samples === fine ? samples : singles(samples), first, leastSd_m3);
  const full = refit ? curveThrough(samples, extra, cubic) : first;
  if (full === undefined) return undefined;
  const noise = noiseAbout(samples, full);
  const quick = Math.max(least_m3 ** 2, sd_m3 === null ? quickVariance(fine) : sd_m3 ** 2);
  const poured = memory === null || !(noise.variance > missing * quick) ? undefined : pouredPieces(fine, noise, quick);
  if (memory !== null) {
    if (poured === undefined) learnColour(memory.noise, noise.variance / quick, noise.inflation);
    else learnColour(memory.noise, poured.sampleSd ** 2 / quick, 1);
  }
  if (poured !== undefined) return poured;
  const usual = quick * (memory === null ? 1 : usualColour(memory.noise));
  const alike = noise.inflation > missedShape;
  const missed = noise.variance > (alike ? missing / 2 : missing) * usual;
  const few = samples.count < fewestForPieces;
  if (few ? isFarApart(fine) && bendable && noise.variance > plainly * usual : missed) {
    const pieces = straightPieces(fine, usual);
    const told = pieces !== undefined && noise.variance > farFromIt * varianceAbout(samples, pieces);
    // A run lowers the water, and what is looked at then is no rest.
    const isWater = memory === null || pieces?.wanders !== true;
    if (told && isWater && (!few || pieces.quickens > clearlyQuicker)) return pieces;
  }
  if (isHeld) {
    const variance = Math.max(noise.variance, memory.sampleSd_m3 ** 2);
    return shapedCurve(full.polynomial, leak, memory, {
      variance,
      inflation: 1,
      degreesOfFreedom: Math.max(1, full.count - full.size),
    });
  }
  if (memory !== null && cubic && full.degree === highestDegree) {
    if (bendable && isTelling(memory)) {
      if (samples.count >= fewestForNoise) noteNoise(samples, full, noise.variance, memory);
      learnShortStretches(memory.short, fine, full.valueAt);
    }
    const degreesOfFreedom = Math.max(1, full.count / noise.inflation - full.size);
    const at = bendable ? noise : { inflation: 1, variance: Math.max(noise.variance, memory.sampleSd_m3 ** 2) };
    const shaped = shapedCurve(full.polynomial, leak, memory, { ...at, degreesOfFreedom });
    const missesEnd =
      samples.count >= fewestForPieces &&
      missesEnds(fine, shaped, leak, usual * usualInflation(memory.noise), memory.pouring);
    const ended = missesEnd ? straightPieces(fine, usual) : undefined;
    return ended === undefined || ended.wanders ? shaped : ended;
  }
  const fit = lowestDegree(samples, extra, full, Math.max(noise.variance * noise.inflation, leastSd_m3 ** 2));
  return fromPolynomial(samples, fit, extra);
}

/** A leak that is over before the first of the samples, or that a polynomial can stand in for, is left out. */
function curveThrough(samples: CurveSamples, extra: TimeFunction | null, bendable: boolean): CurveFit | undefined {
  for (const degree of bendable ? [highestDegree, 1] : [1]) {
    const fit = fitCurve(samples, degree, extra) ?? (extra === null ? undefined : fitCurve(samples, degree));
    if (fit !== undefined) return fit;
  }
  return undefined;
}

/**
 * Pieces that leave next to nothing of what the polynomial does: water that pours in by turns, once or a dozen times between
 * two runs. A sensor that wanders is met by no few lines, and by many not so well. Where a basin gets all its water so, it
 * must not pass for the way the sensor errs.
 */
function pouredPieces(fine: CurveSamples, noise: { readonly variance: number }, quick: number) {
  if (fine.count < fewestForPieces) return undefined;
  const pieces = straightPieces(fine, quick);
  if (pieces === undefined || pieces.quickens < muchQuicker) return undefined;
  // Many lines come near to anything: they must leave far less, and show no water that falls.
  const isMany = pieces.pieces > fewPieces;
  if (pieces.leaps || (isMany && pieces.wanders)) return undefined;
  return noise.variance > (isMany ? nearlyAll ** 2 : nearlyAll) * pieces.sampleSd ** 2 ? pieces : undefined;
}

/** Takes the weight from spikes; whether there were any. */
function leavesOut(suspects: CurveSamples, curve: CurveFit, leastSd_m3: number): boolean {
  const before = usedOf(suspects);
  rejectOutliers(suspects, curve, 0, leastSd_m3);
  return usedOf(suspects) < before;
}

function isFarApart({ t, count }: CurveSamples): boolean {
  return (t[count - 1] ?? 0) - (t[0] ?? 0) >= farApart_s * (count - 1);
}

function usedOf({ weight, count }: CurveSamples): number {
  let used = 0;
  for (let i = 0; i < count; i += 1) if ((weight[i] as number) > 0) used += 1;
  return used;
}

/** A sensor's noise hardly changes: once it is known, every fourth rest is asked. */
function isTelling({ noise }: RestMemory): boolean {
  return noise.rests < wellKnown_rests || noise.colours % 4 === 0;
}

function noteNoise(samples: CurveSamples, fit: CurveFit, variance: number, { noise }: RestMemory): void {
  const residual = residualsOf(samples.count);
  fit.leave(samples, 0, residual);
  learnNoise(noise, samples, residual, variance);
}

function lowestDegree(samples: CurveSamples, extra: TimeFunction | null, full: CurveFit, variance: number): CurveFit {
  let degree = full.degree;
  // Of a polynomial alone each function stands by itself, and so does each degree.
  if (full.size === full.degree + 1) {
    while (degree > 1 && ratioOf(full.polynomial, degree) ** 2 < clearBend * variance) degree -= 1;
    return (degree < full.degree ? full.ofDegree(degree) : undefined) ?? full;
  }
  let fit = full;
  for (; degree > 1 && fit.topRatio ** 2 < clearBend * variance; degree -= 1) {
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
    beyondLine: (from, to) => {
      const line = fit.degree > 1 ? fit.ofDegree(1) : undefined;
      return line === undefined ? 1 : Math.sqrt(fit.meanSlope(from, to).variance / line.meanSlope(from, to).variance);
    },
    leaking_m3: extra === null ? 0 : -fit.extraCoefficient,
  };
}

const residualsOf = workplace();

function noiseAbout(samples: CurveSamples, fit: CurveFit): { variance: number; inflation: number } {
  const residuals = residualsOf(samples.count);
  fit.leave(samples, 0, residuals);
  let count = 0;
  for (let i = 0; i < samples.count; i += 1) {
    const w = samples.weight[i] ?? 0;
    if (w <= 0) continue;
    residuals[count] = (residuals[i] as number) * Math.sqrt(w);
    count += 1;
  }
  const variance = Math.max(least_m3 ** 2, fit.residualSquares / Math.max(1, fit.count - fit.size));
  return { variance, inflation: varianceInflation(residuals, count) };
}

/** Of a sample of weight 1, by the same blocks as the curve's: of a sensor that wanders they show more than its readings. */
function varianceAbout({ t, y, weight, count }: CurveSamples, { valueAt, pieces, sampleSd }: PiecedCurve): number {
  let squares = 0;
  let used = 0;
  for (let i = 0; i < count; i += 1) {
    const w = weight[i] as number;
    if (w <= 0) continue;
    squares += w * ((y[i] as number) - valueAt(t[i] as number)) ** 2;
    used += 1;
  }
  return Math.max(sampleSd ** 2, squares / Math.max(1, used - 2 * pieces));
}

/** The samples before the first block: a block has no spikes left, and what is off the curve there is the course. */
function singles(samples: CurveSamples): CurveSamples {
  let count = 0;
  while (count < samples.count && (samples.weight[count] as number) <= 1) count += 1;
  return partOfSamples(samples, 0, count);
}

/** Of a sample, by how neighbours differ: the second differences of independent errors have six times their variance. */
function quickVariance({ y, weight, count }: CurveSamples): number {
  let squares = 0;
  let differences = 0;
  let [first, second] = [y[0] as number, y[1] as number];
  let [firstWeight, secondWeight] = [weight[0] as number, weight[1] as number];
  for (let i = 2; i < count; i += 1) {
    const third = y[i] as number;
    const thirdWeight = weight[i] as number;
    const w = Math.min(firstWeight, secondWeight, thirdWeight);
    if (w > 0) {
      const bend = first - 2 * second + third;
      squares += w * (bend * bend);
      differences += 1;
    }
    first = second;
    second = third;
    firstWeight = secondWeight;
    secondWeight = thirdWeight;
  }
  return differences === 0 ? Number.NaN : squares / (6 * differences);
}
