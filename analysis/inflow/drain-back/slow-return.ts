// A check valve that leaks: water that comes back over minutes after every stop, so slowly that one rest cannot tell it
// from inflow that falls. Many rests can: the leak brings the same volume in the same course, cycle after cycle.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { fitPolynomial, type PolynomialFit } from "../../statistics/orthogonal-polynomial.ts";
import { samplesWithin } from "../../statistics/part-of-samples.ts";
import { sparser, weightOf } from "../rest/condensed.ts";
import { besideLine, type CourseExplains, courseExplains, curveBeside } from "./course-beside.ts";
import { type CourseScatter, newCourseScatter, noteVolume, scatterOf_m3 } from "./course-scatter.ts";
import { type LeakByGain, newLeakByGain } from "./leak-by-gain.ts";
import { newRememberedLeak, noteInStorm, noteUnlike, type RememberedLeak, remember } from "./remembered-leak.ts";
import { type CourseInTime, candidates, longest_s, slowly_s, withinRest } from "./slow-course.ts";
import {
  addCourse,
  bestOf,
  betweenNeighbours,
  type CourseSums,
  copyOf,
  explained,
  fade,
  noSums,
  restsThatTell,
  type Sums,
  volumeBy,
} from "./slow-sums.ts";
import { besideSlowing } from "./slowing-inflow.ts";

/** What the latest few rests have shown, and what many have: a valve begins to leak, or is mended. */
export interface SlowReturnState {
  readonly few: Sums;
  readonly many: Sums;
  readonly leak: RememberedLeak;
  readonly gain: LeakByGain;
  readonly scatter: Readonly<Record<Beside, CourseScatter>>;
}

export function newSlowReturn(): SlowReturnState {
  const scatter = { line: newCourseScatter(), parabola: newCourseScatter() };
  return { few: noSums(), many: noSums(), leak: newRememberedLeak(), gain: newLeakByGain(), scatter };
}

export interface SlowReturn extends CourseInTime {
  /** What comes back in a rest that is long enough, with its standard deviation from rest to rest. */
  readonly volume_m3: number;
  readonly uVolume_m3: number;
  /** By what share of what stands in the basin the inflow is less each second, as far as rests show it to slow. */
  readonly slowing_1s: number;
  /** The bend of the inflow's own volume: the coefficient of the time's square. */
  readonly bend_m3s2: number;
}

/** Share of the past that counts on at every new rest: memories of some seven and some fifty. */
const memoryOfFew = 0.85;
const memoryOfMany = 0.98;
const fewestRests = 3.5;
const fewestSearched = 2.5;
/** Rests in a row that are too unlike one another to tell anything: what was known before is none of them. Judgement, no source. */
const longestUnsure = 8;
/** One long rest, in which a storm broke, is no habit of the valve. */
const fewestThatTell = 2;
/** … and what takes long is none before so many rests have shown it, some ten in a row. Judgement, no source. */
const fewestOfSlow = 8;
/** What the returned water must explain, in variances of a rest. */
const clear = 40;
/** … more than inflow that slows as the basin fills would … */
const surely = 16;
/** … and most of what a bend of any shape would, or of any beyond a parabola where inflow is bent by itself. */
const mostOfBend = 0.75;
/** By chance alone the mean of some rests is hardly ever so many of its standard deviations. */
const beyondChance = 4;
/** The latest few differ from many by so many standard deviations: the valve has changed. */
const changed = 3;
/** Inflow within a rest is bent by itself, by so many standard deviations of what noise makes. */
const clearly = 5;
/** … and by so much of what it is in all: no leak follows the courses that are tried any better. */
const courseOff = 0.02;
/** Rests alike: the volumes scatter by no more than this share. */
const alike = 0.3;
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

/** A cubic through the samples after the valve has closed; undefined with too few. */
export function bendOfRest(samples: CurveSamples): PolynomialFit | undefined {
  const later = samplesWithin(samples, closed_s);
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
  takeIn(state, { duration_s, apart_s }, sd_m3, bent);
  const rest = { duration_s, usually_s: state.few.length_s, samples: bent.samples, sd_m3: Math.max(sd_m3, least_m3) };
  noteInStorm(state.leak, rest);
  // One rest unlike those before may have been a bucket; not so many in a row.
  const { leak } = state;
  leak.unsure = areEnough(state.few) ? 0 : (leak.unsure ?? 0) + 1;
  if (leak.known === null || leak.unsure === 0 || leak.unsure > longestUnsure)
    remember(state.leak, learnedFrom(state), rest);
}

function takeIn(
  state: SlowReturnState,
  { duration_s, apart_s }: { readonly duration_s: number; readonly apart_s: number },
  sd_m3: number,
  bent: PolynomialFit,
): void {
  const variance = Math.max(sd_m3, least_m3) ** 2;
  // What the cubic explains over a line are its two highest terms: they stand alone.
  const explainedBy = (k: number) => (bent.orthogonal[k] ?? 0) ** 2 * (bent.norms[k] ?? 0);
  const thirdSquares = explainedBy(3);
  const bend = (explainedBy(2) + thirdSquares) / variance;
  const rest = { duration_s, apart_s, bend, third: thirdSquares / variance };
  const precision = ((bent.norms[2] ?? 0) * bent.half ** 4) / variance;
  state.gain.rest = { bend_m3s2: (bent.orthogonal[2] ?? 0) / bent.half ** 2, precision };
  fade(state.few, memoryOfFew, rest);
  fade(state.many, memoryOfMany, rest);
  // Straight rests, one after the other, need no search for what bends them; after a bent one they count against it.
  if (bend < straightRest && isStraight(state.few) && isStraight(state.many)) {
    state.few.straight += 1;
    state.many.straight += 1;
    return;
  }
  // Inflow that slows as the basin fills bends every rest alike, as a leak does: beside a line one passes for the other.
  const parabola = fitPolynomial(sparser(bent.samples), 2);
  if (parabola === undefined) return;
  const second = { coefficient: parabola.orthogonal[2] ?? 0, norm: parabola.norms[2] ?? 0 };
  const beside = curveBeside(parabola);
  const found = candidates.map((candidate) =>
    isSlow(candidate) && candidate.time_s > rest.duration_s ? null : courseExplains(beside, candidate),
  );
  if (isOtherWater(found, bent.residualSquares + thirdSquares, variance * bent.samples.count)) return;
  if (isUnlike(state.few, found, variance)) {
    const bendsByItself = state.few.bendsByItself || bentWithoutLeak(state);
    noteUnlike(state.leak);
    Object.assign(state.few, noSums(), { before: state.few.before + state.few.weight, bendsByItself });
    fade(state.few, memoryOfFew, rest);
  }
  for (const sums of [state.few, state.many]) {
    sums.searched += 1;
    sums.second += (second.coefficient ** 2 * second.norm) / variance;
    sums.slope_m3s += (parabola.orthogonal[1] ?? 0) / parabola.half;
    sums.bend_m3s2 += (parabola.orthogonal[2] ?? 0) / parabola.half ** 2;
  }
  found.forEach((course, i) => {
    if (course === null || course.coefficient === 0) return;
    const straight = besideLine(course, second);
    noteVolume(state.scatter.parabola, i, -course.coefficient);
    noteVolume(state.scatter.line, i, -straight.coefficient);
    for (const sums of [state.few, state.many]) {
      addCourse(sums.parabola, i, course.norm / variance, -course.coefficient);
      addCourse(sums.line, i, straight.norm / variance, -straight.coefficient);
    }
  });
  if (haveChanged(state)) Object.assign(state.many, copyOf(state.few));
}

/** Fewer may be those of a valve that has begun to leak by and by. Judgement, no source. */
const manyRests = 20;

/**
 * Rest after rest was bent alike from end to end, and no leak bent them: it is the inflow that does, and goes on beside a leak
 * that begins. A leak that has begun by and by bent each of them more.
 */
function bentWithoutLeak(state: SlowReturnState): boolean {
  const { weight, searched, second, line, bend } = state.many;
  const wasBent = weight > manyRests && searched > weight / 2 && second > straightRest * searched;
  if (!wasBent || learnedFrom(state) !== null) return false;
  const best = bestOf(line);
  const isAlike = explained(line, best) > mostOfBend * (bend - 2 * weight);
  return isAlike && takesTheRest(candidates[best] as CourseInTime, state.many);
}

/** The valve has begun to leak, or been mended: the rest shows another volume than those before it, clear of the noise. */
function isUnlike(few: Sums, found: readonly Course[], variance: number): boolean {
  let ofRest = 0;
  let most = 0;
  for (let i = 0; i < found.length; i += 1) {
    const course = found[i] as Course;
    const own = course === null ? 0 : course.coefficient ** 2 * course.norm;
    // Inflow that wanders makes each rest unlike the one before by a course so slow.
    const candidate = candidates[i] as CourseInTime;
    if (!(own > most) || isSlow(candidate) || !overInTime(candidate, few)) continue;
    ofRest = i;
    most = own;
  }
  return [ofRest, bestOf(few.parabola)].some((i) => {
    const precision = few.parabola.precision[i] as number;
    const course = found[i] ?? null;
    if (!(precision > 0) || course === null || !overInTime(candidates[i] as CourseInTime, few)) return false;
    const before_m3 = (few.parabola.volume[i] as number) / precision;
    const off_m3 = -course.coefficient - before_m3;
    return isOther(-course.coefficient, before_m3) && off_m3 ** 2 > clear * (variance / course.norm + 1 / precision);
  });
}

function isOther(one_m3: number, other_m3: number): boolean {
  return Math.abs(one_m3 - other_m3) > alike * Math.max(Math.abs(one_m3), Math.abs(other_m3));
}

/** So many rests tell; three that are bent, for water that pours in once or twice after a stop is no leak. */
function areEnough({ weight, before, searched }: Sums): boolean {
  return weight + before >= fewestRests && searched >= fewestSearched;
}

/** What many rests have shown is past: the latest few show clearly another volume. */
function haveChanged({ few, many }: SlowReturnState): boolean {
  if (!areEnough(few)) return false;
  const best = bestOf(few.parabola);
  const [lately_m3] = volumeBy(few.parabola, few.weight, best);
  const [before_m3] = volumeBy(many.parabola, many.weight, best);
  const variance = 1 / (few.parabola.precision[best] as number) + 1 / (many.parabola.precision[best] as number);
  return isOther(lately_m3, before_m3) && (lately_m3 - before_m3) ** 2 > changed ** 2 * variance;
}

type Course = CourseExplains | null;

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

function isStraight({ bent, weight }: Sums): boolean {
  return bent < straightRest * weight;
}

/** Null when nothing of the kind comes back. */
export function learnedSlowReturn({ leak }: SlowReturnState): SlowReturn | null {
  return leak.known;
}

function learnedFrom({ few, many, scatter }: SlowReturnState): SlowReturn | null {
  // A leak bends one rest after the other: what bends some of them are waves on the water, or is poured in. Of rests most of
  // which have other water in them the few that do not look alike by choice.
  const others = few.weight - few.searched - few.straight;
  if (few.searched < Math.max(few.straight, others)) return null;
  const lasting = learnedBy(many, scatter);
  if (lasting === null) return learnedBy(few, scatter);
  // One rest unlike those before may have been a bucket.
  if (!areEnough(few)) return lasting;
  const [volume_m3, spread_m3] = volumeBy(few[lasting.beside], few.weight, lasting.best);
  const u_m3 = Math.hypot(spread_m3, 1 / Math.sqrt(few[lasting.beside].precision[lasting.best] ?? 0));
  return Math.abs(volume_m3 - lasting.mean_m3) <= changed * Math.hypot(u_m3, lasting.uVolume_m3)
    ? lasting
    : learnedBy(few, scatter);
}

type Beside = "line" | "parabola";
/** Whether inflow bends by itself. */
type Bends = "surely" | "maybe" | "no";

interface Learned extends SlowReturn {
  readonly beside: Beside;
  readonly best: number;
  readonly mean_m3: number;
}

function learnedBy(sums: Sums, scatter: SlowReturnState["scatter"]): Learned | null {
  if (!areEnough(sums)) return null;
  const best = { line: bestOf(sums.line), parabola: bestOf(sums.parabola) };
  const bends = bendsOtherwise(sums, best);
  const found =
    (bends === "surely" ? besideBend(sums, "parabola", best.parabola, bends, scatter) : null) ??
    besideBend(sums, "line", best.line, bends, scatter);
  if (found === null || found.beside === "parabola" || bends === "no") return found;
  // Rather a leak alone; but it may be less of one, and inflow that slows.
  const other_m3 = volumeBy(sums.parabola, sums.weight, found.best)[0] - found.mean_m3;
  return { ...found, uVolume_m3: Math.hypot(found.uVolume_m3, other_m3 / Math.sqrt(3)) };
}

/**
 * Whether inflow bends within a rest by itself. A leak beside a straight one leaves nothing to a parabola beyond a variance
 * in each rest, but for what the courses that are tried are off from its own.
 */
function bendsOtherwise(
  { line, parabola, second, searched, bendsByItself }: Sums,
  best: Readonly<Record<Beside, number>>,
): Bends {
  if (bendsByItself) return "surely";
  const left = second - explained(line, best.line) + explained(parabola, best.parabola) - searched;
  if (!(left > clearly * Math.sqrt(2 * searched))) return "no";
  return left > courseOff * second ? "surely" : "maybe";
}

function besideBend(
  sums: Sums,
  beside: Beside,
  best: number,
  bends: Bends,
  scatter: SlowReturnState["scatter"],
): Learned | null {
  const courses = sums[beside];
  const candidate = candidates[best] as CourseInTime;
  if (!overInTime(candidate, sums)) return null;
  const most = explained(courses, best);
  const bend = beside === "line" ? sums.bend - 2 * sums.weight : sums.third - sums.weight;
  if (most < clear || most < mostOfBend * bend || most < lastingBend(courses, sums, bends) + surely) return null;
  const [mean_m3, spread_m3] = volumeBy(courses, sums.weight, best);
  const fewest = isSlow(candidate) ? fewestOfSlow : fewestThatTell;
  if (spread_m3 > alike * mean_m3 || restsThatTell(courses, best) < fewest) return null;
  // Rests that were told from those before are alike by choice: so is their spread, but not how rests scatter in all.
  if (mean_m3 < (beyondChance * scatterOf_m3(scatter[beside], best)) / Math.sqrt(sums.searched)) return null;
  const { time_s, volume_m3, uRidge_m3 } = betweenNeighbours(courses, best, mean_m3);
  if (!(volume_m3 > 0)) return null;
  const u_m3 = Math.hypot(spread_m3, 1 / Math.sqrt(courses.precision[best] ?? 0), uRidge_m3);
  const found = { course: candidate.course, time_s, volume_m3 };
  const how = { beside, best, mean_m3 };
  if (beside === "line") return { ...found, uVolume_m3: u_m3, slowing_1s: 0, bend_m3s2: 0, ...how };
  const slowing = besideSlowing(found, {
    from_s: closed_s,
    length_s: sums.length_s,
    slope_m3s: sums.slope_m3s / sums.searched,
    bend_m3s2: sums.bend_m3s2 / sums.searched,
  });
  return { ...found, ...slowing, uVolume_m3: Math.hypot(u_m3, slowing.uVolume_m3), ...how };
}

function isSlow({ course, time_s }: CourseInTime): boolean {
  return course === "draining" && time_s > slowly_s;
}

function overInTime(candidate: CourseInTime, sums: Sums): boolean {
  return showsItsEnd(candidate, sums) && !takesTheRest(candidate, sums);
}

function showsItsEnd({ course, time_s }: CourseInTime, { apart_s }: Sums): boolean {
  return course === "fading" || apart_s >= seldom_s || time_s >= closed_s + fewestInCourse * apart_s;
}

function takesTheRest({ course, time_s }: CourseInTime, { length_s, apart_s }: Sums): boolean {
  const seldom = apart_s >= seldom_s;
  const most_s = (seldom ? longestSeldom_s : longest_s)[course];
  return time_s > Math.min(most_s, (seldom ? sooner : 1) * withinRest[course] * length_s);
}

/**
 * What the best course that takes as long as the rest explains: of whatever size in each, less what noise explains by one
 * size more. A leak brings the same again and again; inflow that slows bends each rest by as much as there is of it.
 */
function lastingBend(courses: CourseSums, sums: Sums, bends: Bends): number {
  let most = 0;
  candidates.forEach((candidate, i) => {
    if (takesTheRest(candidate, sums) || (bends !== "no" && !showsItsEnd(candidate, sums)))
      most = Math.max(most, (courses.square[i] as number) - sums.searched);
  });
  return most;
}
