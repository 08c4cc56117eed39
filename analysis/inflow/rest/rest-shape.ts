// How inflow bends within a rest, learned over the rests before: ground water that holds back as the basin fills bends
// every rest alike, weather bends some and leaves others straight. What a rest's own noise hides, the rests before tell.

/** A derivative of the inflow at the middle of a rest (m³/s² the first, m³/s³ the second, …), with a variance. */
export interface Bend {
  readonly value: number;
  readonly variance: number;
}

/** Weighted sums over the latest rests. */
interface BendSums {
  weight: number;
  /** Of the weights' squares, for the effective number of rests. */
  squaredWeight: number;
  value: number;
  square: number;
  variance: number;
}

/** What the latest few rests have shown, what many have, and how often one was unlike those before. */
export interface BendMemory {
  readonly few: BendSums;
  readonly many: BendSums;
  readonly odd: OddRests;
}

interface OddRests {
  /** Fading sums: how odd the rests were, and how many there were. */
  sum: number;
  rests: number;
  /** How odd the last one was. */
  last: number;
}

/** What is to be expected of a bend. */
export interface ExpectedBend extends Bend {
  /** How likely it is that this rest is unlike those before and speaks for itself alone, 0 to 1. */
  readonly odd: number;
}

/** The inflow's first derivative, its second, and so on up to the fourth. */
export type RestShapeState = readonly BendMemory[];

export function newRestShape(): RestShapeState {
  return Array.from({ length: 4 }, () => ({
    few: noSums(),
    many: noSums(),
    odd: { sum: 0, rests: 0, last: 0 },
  }));
}

/** Share of the past that counts on at every new rest: memories of some eight and some sixty. */
const memoryOfFew = 0.88;
const memoryOfMany = 0.983;
/** The latest few bend so much more or less than many have that the weather has changed. */
const muchMore = 2.2;
const muchLess = 0.3;
/** Fewer rests than this tell nothing of the next. */
const fewestRests = 2.5;
const restsForWandering = 15;
/** Most that inflow which swings within two rests gives the third coefficient, of what it gives the second. */
const smooth = 0.07;
/** Before rests have shown how often something new begins: so many odd ones in so many. */
const oddAtFirst = 0.3;
const restsAtFirst = 6;
/** What more rests do is the rule. */
const mostOdd = 0.3;
/** Before anything is known of bends, a rest is straight as likely as not. */
const evenOdds = 0.5;
/** A mean bend counts from so many times the square that chance makes of it. */
const clearly = 2;
/** An odd rest bends so many times as far as its own noise and the others' spread, in variances. */
const muchFarther = 100;

/**
 * What is to be expected of the next rest: mean and variance of a bend, and how likely it is that the rest is unlike
 * those before, by what it shows itself (`seen`).
 *
 * @param wandering part of the spread that is the sensor's, in variances of `seen` by independent errors
 */
export function expectedBend({ few, many, odd }: BendMemory, seen: Bend, wandering: number): ExpectedBend {
  const sums = weatherChanged(few, many) ? few : many;
  const rests = effectiveRests(sums);
  if (rests < fewestRests) return { value: 0, variance: 0, odd: howOdd(evenOdds, seen.value ** 2 / seen.variance) };
  const moments = momentsOf(sums);
  const { noise } = moments;
  // What noise alone may pass for spread, by one standard deviation of a variance, is none.
  const spread = Math.max(0, moments.spread - (wandering + Math.sqrt(2 / rests)) * noise);
  const ofMean = (spread + (1 + wandering) * noise) / rests;
  const believed = clearShare(moments.value, ofMean);
  // What is not believed of it is less off than by its chance.
  const variance = spread + (ofMean * (1 + believed)) / 2;
  const value = moments.value * believed;
  const share = Math.min(mostOdd, (oddAtFirst + odd.sum) / (restsAtFirst + odd.rests));
  return { value, variance, odd: howOdd(share, (seen.value - value) ** 2 / (seen.variance + variance)) };
}

/**
 * Share of a mean bend to believe, after James and Stein: what is within its own uncertainty bends every rest to come alike,
 * and no mean of many would make that good.
 */
function clearShare(value: number, variance: number): number {
  return value === 0 ? 0 : Math.max(0, 1 - (clearly * variance) / value ** 2);
}

/** By Bayes' rule. @param squared distance from what was expected, in variances */
function howOdd(share: number, squared: number): number {
  const likelihoodRatio = Math.exp((-squared / 2) * (1 - 1 / (1 + muchFarther))) * Math.sqrt(1 + muchFarther);
  return share / (share + (1 - share) * likelihoodRatio);
}

/** How inflow usually bends the volume within a rest, as the coefficient of the time's square; 0 while that is not known. */
export function usualBend_m3s2([slope]: RestShapeState): number {
  return slope === undefined || effectiveRests(slope.many) < fewestRests ? 0 : momentsOf(slope.many).value / 2;
}

/**
 * A sensor that wanders over hours bends rests at random: how much it adds to the variance of the third coefficient, in
 * variances by independent errors. Inflow that changes smoothly bends a rest mostly one way, and its change of slope
 * has little: what is left of that is the sensor's.
 */
export function wanderingOfSensor([slope, change]: RestShapeState): number {
  if (slope === undefined || change === undefined) return 0;
  const rests = effectiveRests(change.many);
  if (rests < restsForWandering) return 0;
  const second = momentsOf(slope.many);
  const third = momentsOf(change.many);
  const left = third.spread / third.noise - smooth * (second.spread / second.noise);
  return left > 2.5 * Math.sqrt(2 / rests) ? left : 0;
}

/**
 * Takes in what a rest by itself has shown; vague ones count little, and one that is odd by itself no more: what comes
 * twice is the weather.
 */
export function learnBend({ few, many, odd }: BendMemory, seen: Bend, howOdd: number): void {
  if (!(seen.variance > 0) || !Number.isFinite(seen.value)) return;
  const counts = odd.last > evenOdds ? 1 : 1 - howOdd;
  add(few, seen, memoryOfFew, counts);
  add(many, seen, memoryOfMany, counts);
  odd.sum = memoryOfMany * odd.sum + howOdd;
  odd.rests = memoryOfMany * odd.rests + 1;
  odd.last = howOdd;
}

function weatherChanged(few: BendSums, many: BendSums): boolean {
  const lately = momentsOf(few);
  const usual = momentsOf(many);
  const ratio = (lately.spread + lately.noise + (lately.value - usual.value) ** 2) / (usual.spread + usual.noise);
  const vaguer = lately.noise / usual.noise;
  return ratio > muchMore * Math.max(1, vaguer) || ratio < muchLess;
}

function momentsOf(sums: BendSums): { readonly value: number; readonly spread: number; readonly noise: number } {
  const value = sums.value / sums.weight;
  const noise = sums.variance / sums.weight;
  return { value, noise, spread: Math.max(0, sums.square / sums.weight - value ** 2 - noise) };
}

function add(sums: BendSums, seen: Bend, memory: number, counts: number): void {
  const spread = sums.weight > 0 ? momentsOf(sums).spread : Math.max(0, seen.value ** 2 - seen.variance);
  const weight = counts / (seen.variance + spread) ** 2;
  sums.weight = memory * sums.weight + weight;
  sums.squaredWeight = memory ** 2 * sums.squaredWeight + weight ** 2;
  sums.value = memory * sums.value + weight * seen.value;
  sums.square = memory * sums.square + weight * seen.value ** 2;
  sums.variance = memory * sums.variance + weight * seen.variance;
}

function effectiveRests({ weight, squaredWeight }: BendSums): number {
  return squaredWeight > 0 ? weight ** 2 / squaredWeight : 0;
}

function noSums(): BendSums {
  return { weight: 0, squaredWeight: 0, value: 0, square: 0, variance: 0 };
}
