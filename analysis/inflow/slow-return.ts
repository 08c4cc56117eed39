// A check valve that leaks: water that comes back over minutes after every stop, so slowly that one rest cannot tell it
// from inflow that falls. Many rests can: the leak brings the same volume in the same course, cycle after cycle.

import type { CurveSamples } from "../statistics/fit-curve.ts";
import { fitPolynomial, type PolynomialFit } from "../statistics/orthogonal-polynomial.ts";
import { sparser, weightOf } from "./condensed.ts";
import { courseExplains, curveBeside } from "./course-beside.ts";

/** Courses of returning water: a leak under a sinking column, or one of steady rate, until the pipe is empty. */
export type SlowCourse = "fading" | "steady" | "draining";

interface Candidate {
  readonly course: SlowCourse;
  readonly time_s: number;
}

/** No check valve leaks its pipe empty more slowly; what bends a rest for longer is the inflow itself. */
const longest_s = { fading: 400, steady: 300, draining: 650 } as const;
/** Time constants and lengths that are tried: a fifth apart for leaks, and beyond those for inflow that slows. */
const candidates: readonly Candidate[] = [
  ...[...geometric(8, longest_s.fading, 1.2), ...geometric(1.5 * longest_s.fading, 10_000, 1.5)].map(
    (time_s) => ({ course: "fading", time_s }) as const,
  ),
  ...geometric(15, longest_s.steady, 1.2).map((time_s) => ({ course: "steady", time_s }) as const),
  ...geometric(15, longest_s.draining, 1.2).map((time_s) => ({ course: "draining", time_s }) as const),
];

function geometric(from: number, to: number, ratio: number): number[] {
  return Array.from({ length: 1 + Math.floor(Math.log(to / from) / Math.log(ratio)) }, (_, i) => from * ratio ** i);
}

/** Per candidate: weighted sums of precision, precision × volume, precision × volume². */
interface Sums {
  readonly precision: number[];
  readonly volume: number[];
  readonly square: number[];
  /** What a bend of any shape would explain, in variances; and the rests' lengths. */
  bend: number;
  weight: number;
  length_s: number;
  /** How far apart their samples stood. */
  apart_s: number;
  /** How many of them were bent, or came soon after one that was: those before have left no trace. */
  searched: number;
  /** How many were straight, and were not searched. */
  straight: number;
}

/** What the latest few rests have shown, and what many have: a valve begins to leak, or is mended. */
export interface SlowReturnState {
  readonly few: Sums;
  readonly many: Sums;
}

export function newSlowReturn(): SlowReturnState {
  return { few: noSums(), many: noSums() };
}

function noSums(): Sums {
  return {
    precision: candidates.map(() => 0),
    volume: candidates.map(() => 0),
    square: candidates.map(() => 0),
    bend: 0,
    weight: 0,
    length_s: 0,
    apart_s: 0,
    searched: 0,
    straight: 0,
  };
}

export interface SlowReturn extends Candidate {
  /** What comes back in a rest that is long enough, with its standard deviation from rest to rest. */
  readonly volume_m3: number;
  readonly uVolume_m3: number;
}

/** Share of the past that counts on at every new rest: memories of some seven and some fifty. */
const memoryOfFew = 0.85;
const memoryOfMany = 0.98;
const fewestRests = 3.5;
/** Three in a row: water that pours in once or twice after a stop is no leak. */
const fewestSearched = 2.5;
/** What the returned water must explain, in variances of a rest. */
const clear = 40;
/** … more than inflow that slows as the basin fills would … */
const surely = 16;
/** … and most of what a bend of any shape would. */
const mostOfBend = 0.75;
/** The latest few differ from many by so many standard deviations: the valve has changed. */
const changed = 3;
/** Rests alike: the volumes scatter by no more than this share. */
const alike = 0.3;
/**
 * A leak is over well before the rest is: a bend that takes as long as the rest itself is inflow that slows as the
 * basin fills. Within one rest the two are one and the same curve; common practice, no source.
 */
const withinRest = { fading: 0.6, steady: 0.85, draining: 0.95 } as const;
/**
 * A course that ends shows by so many readings or more: two or three may be off by a wave. Of readings far apart, which
 * waves do not bend alike rest after rest, a leak that is over sooner would be taken for one that lasts.
 */
const fewestInCourse = 3;
/** The water of the closing valve is back by then. */
const closed_s = 10;
const fewestSamples = 12;
/** Readings farther apart show no course of a leak that is over within minutes. */
const tooSeldom_s = 45;
/**
 * Where they are farther apart than this their few tell a leak of many minutes no more from inflow that slows: it must be
 * over sooner, and within less of the rest.
 */
const seldom_s = 15;
const longestSeldom_s = { fading: 150, steady: 300, draining: 300 } as const;
const sooner = 1 / 3;
/** Steps of a sensor may leave a rest without any noise: no volume is known better than to a millilitre. */
const least_m3 = 1e-6;
/** Two terms more explain two variances of pure noise; a bend that matters explains more than this. */
const straightRest = 8;

/** Share of the returning water that is still to come, `t` seconds after the stop. */
export function slowlyOut({ course, time_s }: Candidate): (t: number) => number {
  if (course === "fading") return (t) => Math.exp(-t / time_s);
  if (course === "steady") return (t) => Math.max(0, 1 - t / time_s);
  // Flow through an opening goes with the root of the column above it, which therefore sinks as a square.
  return (t) => Math.max(0, 1 - t / time_s) ** 2;
}

/** A cubic through the samples after the valve has closed; undefined with too few. */
export function bendOfRest(samples: CurveSamples): PolynomialFit | undefined {
  const later = from(samples, closed_s);
  return later.count < fewestSamples ? undefined : fitPolynomial(later, 3);
}

/**
 * Takes in one rest. Reads the samples' weights as they are.
 *
 * @param cubic the bend of these samples, where it is at hand
 */
export function learnSlowReturn(
  state: SlowReturnState,
  samples: CurveSamples,
  duration_s: number,
  sd_m3: number,
  cubic: PolynomialFit | null = null,
): void {
  const apart_s = duration_s / weightOf(samples);
  if (!(apart_s < tooSeldom_s) || !Number.isFinite(sd_m3)) return;
  const bent = cubic ?? bendOfRest(samples);
  if (bent === undefined) return;
  known.delete(state);
  const variance = Math.max(sd_m3, least_m3) ** 2;
  // What the cubic explains over a line are its two highest terms: they stand alone.
  const explainedBy = (k: number) => (bent.orthogonal[k] ?? 0) ** 2 * (bent.norms[k] ?? 0);
  const bendSquares = explainedBy(2) + explainedBy(3);
  const bend = bendSquares / variance;
  fade(state.few, memoryOfFew, duration_s, apart_s, bend);
  fade(state.many, memoryOfMany, duration_s, apart_s, bend);
  // Straight rests, one after the other, need no search for what bends them; after a bent one they count against it.
  if (bend < straightRest && isStraight(state.few) && isStraight(state.many)) {
    state.few.straight += 1;
    state.many.straight += 1;
    return;
  }
  const line = fitPolynomial(sparser(bent.samples), 1);
  if (line === undefined) return;
  const beside = curveBeside(line);
  const found = candidates.map((candidate) => courseExplains(beside, candidate));
  if (isOtherWater(found, bent.residualSquares + bendSquares, variance * bent.samples.count)) return;
  state.few.searched += 1;
  state.many.searched += 1;
  found.forEach((course, i) => {
    if (course === null || course.coefficient === 0) return;
    add(state.few, i, course.norm / variance, -course.coefficient);
    add(state.many, i, course.norm / variance, -course.coefficient);
  });
}

type Course = ReturnType<typeof courseExplains>;

/** What no course meets, neither by what the noise leaves over nor by a small part of what the best one explains. */
const missesShape = 5;
const mostMissed = 0.05;

/** Water that pours in within the rest, or after the stop and again later: it tells nothing of what comes back. */
function isOtherWater(found: readonly Course[], squares: number, noise: number): boolean {
  let most = 0;
  for (const course of found) {
    if (course !== null && course.coefficient < 0) most = Math.max(most, course.coefficient ** 2 * course.norm);
  }
  const left = squares - most;
  return left > missesShape * noise && left > mostMissed * most;
}

function isStraight({ bend, weight }: Sums): boolean {
  return bend < straightRest * weight;
}

function fade(sums: Sums, memory: number, duration_s: number, apart_s: number, bend: number): void {
  sums.weight = memory * sums.weight + 1;
  sums.bend = memory * sums.bend + bend;
  sums.searched *= memory;
  sums.straight *= memory;
  sums.length_s += (duration_s - sums.length_s) / sums.weight;
  sums.apart_s += (apart_s - sums.apart_s) / sums.weight;
  for (const column of [sums.precision, sums.volume, sums.square]) {
    for (let i = 0; i < column.length; i += 1) column[i] = (column[i] as number) * memory;
  }
}

function add(sums: Sums, i: number, precision: number, volume: number): void {
  sums.precision[i] = (sums.precision[i] as number) + precision;
  sums.volume[i] = (sums.volume[i] as number) + precision * volume;
  sums.square[i] = (sums.square[i] as number) + precision * volume ** 2;
}

/** What was learned last of each basin: it is asked for several times between one rest and the next. */
const known = new WeakMap<SlowReturnState, SlowReturn | null>();

/** Null when nothing of the kind comes back. */
export function learnedSlowReturn(state: SlowReturnState): SlowReturn | null {
  const before = known.get(state);
  if (before !== undefined) return before;
  const now = learnedFrom(state);
  known.set(state, now);
  return now;
}

function learnedFrom({ few, many }: SlowReturnState): SlowReturn | null {
  // A leak bends one rest after the other: what bends some of them are waves on the water, or is poured in.
  if (few.searched < few.straight) return null;
  const best = bestOf(many);
  const lasting = learnedBy(many, best);
  if (lasting === null) return learnedBy(few, bestOf(few));
  const [volume_m3, spread_m3] = volumeBy(few, best);
  const u_m3 = Math.hypot(spread_m3, 1 / Math.sqrt(few.precision[best] ?? 0));
  return Math.abs(volume_m3 - lasting.mean_m3) <= changed * Math.hypot(u_m3, lasting.uVolume_m3)
    ? lasting
    : learnedBy(few, bestOf(few));
}

function learnedBy(sums: Sums, best: number): (SlowReturn & { readonly mean_m3: number }) | null {
  const candidate = candidates[best];
  if (candidate === undefined || sums.weight < fewestRests) return null;
  if (sums.searched < fewestSearched) return null;
  if (!overInTime(candidate, sums)) return null;
  const most = explained(sums, best);
  if (most < lastingBend(sums) + surely) return null;
  if (most < clear || most < mostOfBend * (sums.bend - 2 * sums.weight)) return null;
  const [mean_m3, spread_m3] = volumeBy(sums, best);
  if (spread_m3 > alike * mean_m3) return null;
  const { time_s, volume_m3, uRidge_m3 } = betweenNeighbours(sums, best, candidate, mean_m3);
  const uVolume_m3 = Math.hypot(spread_m3, 1 / Math.sqrt(sums.precision[best] ?? 0), uRidge_m3);
  return { course: candidate.course, time_s, volume_m3, uVolume_m3, mean_m3 };
}

function overInTime({ course, time_s }: Candidate, { length_s, apart_s }: Sums): boolean {
  const seldom = apart_s >= seldom_s;
  if (course !== "fading" && !seldom && time_s < closed_s + fewestInCourse * apart_s) return false;
  const most_s = (seldom ? longestSeldom_s : longest_s)[course];
  return time_s <= Math.min(most_s, (seldom ? sooner : 1) * withinRest[course] * length_s);
}

/**
 * What the best course that takes as long as the rest explains: of whatever size in each, less what noise explains by one
 * size more. A leak brings the same again and again; inflow that slows bends each rest by as much as there is of it.
 */
function lastingBend(sums: Sums): number {
  let most = 0;
  candidates.forEach((candidate, i) => {
    if (!overInTime(candidate, sums)) most = Math.max(most, (sums.square[i] as number) - sums.searched);
  });
  return most;
}

function bestOf(sums: Sums): number {
  let best = 0;
  let most = explained(sums, best);
  for (let i = 1; i < candidates.length; i += 1) {
    const here = explained(sums, i);
    if (!(here > most)) continue;
    best = i;
    most = here;
  }
  return best;
}

/** Mean volume by one candidate, and by how much rests differ beyond their own uncertainty. */
function volumeBy(sums: Sums, i: number): [number, number] {
  const precision = sums.precision[i] ?? 0;
  const mean_m3 = (sums.volume[i] ?? 0) / precision;
  const scatter = ((sums.square[i] ?? 0) - mean_m3 ** 2 * precision) / sums.weight;
  return [mean_m3, Math.sqrt((Math.max(0, scatter - 1) * sums.weight) / precision)];
}

/** What a common volume of the candidate's course explains, in variances of a rest; 0 when it would be negative. */
function explained(state: Sums, i: number): number {
  const volume = state.volume[i] ?? 0;
  return volume > 0 ? volume ** 2 / (state.precision[i] ?? 0) : 0;
}

/**
 * The best time lies between those that were tried: a parabola through what they explain, over the time's logarithm,
 * whose width says how well it is known. A longer time goes with more water: so the volume is no better known than that.
 */
function betweenNeighbours(sums: Sums, best: number, candidate: Candidate, mean_m3: number) {
  const [a, b] = [candidates[best - 1], candidates[best + 1]];
  const seen = (i: number) => (sums.precision[i] ?? 0) > 0;
  if (a?.course !== candidate.course || b?.course !== candidate.course || !seen(best - 1) || !seen(best + 1))
    return { time_s: candidate.time_s, volume_m3: mean_m3, uRidge_m3: 0 };
  const [ea, e, eb] = [explained(sums, best - 1), explained(sums, best), explained(sums, best + 1)];
  const xa = Math.log(a.time_s / candidate.time_s);
  const xb = Math.log(b.time_s / candidate.time_s);
  const [slopeA, slopeB] = [(ea - e) / xa, (eb - e) / xb];
  const bend = (slopeB - slopeA) / (xb - xa);
  const x = bend < 0 ? Math.max(xa, Math.min(xb, (bend * xa - slopeA) / (2 * bend))) : 0;
  const va = ((sums.volume[best - 1] ?? 0) / (sums.precision[best - 1] ?? 1) - mean_m3) / xa;
  const vb = ((sums.volume[best + 1] ?? 0) / (sums.precision[best + 1] ?? 1) - mean_m3) / xb;
  const volumeBend = (vb - va) / (xb - xa);
  const perLogarithm = va + volumeBend * (2 * x - xa);
  return {
    time_s: candidate.time_s * Math.exp(x),
    volume_m3: mean_m3 + x * (va + volumeBend * (x - xa)),
    uRidge_m3: bend < 0 ? Math.abs(perLogarithm) / Math.sqrt(-bend) : 0,
  };
}

function from({ t, y, weight, count }: CurveSamples, time_s: number): CurveSamples {
  let first = 0;
  while (first < count && (t[first] ?? 0) < time_s) first += 1;
  return {
    t: t.subarray(first, count),
    y: y.subarray(first, count),
    weight: weight.subarray(first, count),
    count: count - first,
  };
}
