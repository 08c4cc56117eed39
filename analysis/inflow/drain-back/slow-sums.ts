// What rests have shown of each course in which water may have come back slowly, summed up: beside a straight inflow, and
// beside one that slows or grows steadily over the rest.

import { candidates } from "./slow-course.ts";

/** Per candidate: weighted sums of precision, precision × volume, precision × volume². */
export interface CourseSums {
  readonly precision: number[];
  readonly volume: number[];
  readonly square: number[];
  /** … and precision²: by how many rests it was met. */
  readonly sharpness: number[];
}

export interface Sums {
  readonly line: CourseSums;
  readonly parabola: CourseSums;
  /** What a bend of any shape would explain, in variances, and what one beyond a parabola. */
  bend: number;
  third: number;
  /** The same as `bend`, of each rest no more than what tells that it is bent clearly. */
  bent: number;
  /** … and what a parabola over a line, in those that were searched. */
  second: number;
  /** How many rests there were, how many before the valve changed, and their length. */
  weight: number;
  before: number;
  length_s: number;
  /** How far apart their samples stood. */
  apart_s: number;
  /** How many of them were bent, or came soon after one that was: those before have left no trace. */
  searched: number;
  /** Sums of slope and bend of those, as parabolas. */
  slope_m3s: number;
  bend_m3s2: number;
  /** How many were straight, and were not searched. */
  straight: number;
  /** Inflow bends by itself: it did before the valve changed. */
  bendsByItself: boolean;
}

export function noSums(): Sums {
  return {
    line: noCourses(),
    parabola: noCourses(),
    bend: 0,
    third: 0,
    bent: 0,
    second: 0,
    weight: 0,
    before: 0,
    length_s: 0,
    apart_s: 0,
    searched: 0,
    slope_m3s: 0,
    bend_m3s2: 0,
    straight: 0,
    bendsByItself: false,
  };
}

function noCourses(): CourseSums {
  const none = () => candidates.map(() => 0);
  return { precision: none(), volume: none(), square: none(), sharpness: none() };
}

export interface NewRest {
  readonly duration_s: number;
  readonly apart_s: number;
  readonly bend: number;
  readonly third: number;
}

/**
 * A storm that breaks bends a dozen rests a hundred times as clearly as any leak: they are not to make all that follow for
 * days be searched. So much in one rest of ten stands for a bend in all of them.
 */
const mostBent = 80;

/** The past counts less by `memory`, and one rest more. */
export function fade(sums: Sums, memory: number, { duration_s, apart_s, bend, third }: NewRest): void {
  sums.weight = memory * sums.weight + 1;
  sums.bend = memory * sums.bend + bend;
  sums.third = memory * sums.third + third;
  sums.bent = memory * sums.bent + Math.min(bend, mostBent);
  sums.second *= memory;
  sums.searched *= memory;
  sums.straight *= memory;
  sums.slope_m3s *= memory;
  sums.bend_m3s2 *= memory;
  sums.length_s += (duration_s - sums.length_s) / sums.weight;
  sums.apart_s += (apart_s - sums.apart_s) / sums.weight;
  fadeCourses(sums.line, memory);
  fadeCourses(sums.parabola, memory);
}

function fadeCourses({ precision, volume, square, sharpness }: CourseSums, memory: number): void {
  for (let i = 0; i < precision.length; i += 1) {
    precision[i] = (precision[i] as number) * memory;
    volume[i] = (volume[i] as number) * memory;
    square[i] = (square[i] as number) * memory;
    sharpness[i] = (sharpness[i] as number) * memory ** 2;
  }
}

/** The same sums, to go on by themselves. A structured clone's columns hold an object for each number from then on. */
export function copyOf(sums: Sums): Sums {
  return { ...sums, line: copyOfCourses(sums.line), parabola: copyOfCourses(sums.parabola) };
}

function copyOfCourses({ precision, volume, square, sharpness }: CourseSums): CourseSums {
  return { precision: [...precision], volume: [...volume], square: [...square], sharpness: [...sharpness] };
}

/** As many rests of like length have told of a candidate's course as those that have: others may be over before it is. */
export function restsThatTell({ precision, sharpness }: CourseSums, i: number): number {
  return (precision[i] as number) ** 2 / (sharpness[i] as number);
}

export function addCourse(sums: CourseSums, i: number, precision: number, volume_m3: number): void {
  sums.precision[i] = (sums.precision[i] as number) + precision;
  sums.volume[i] = (sums.volume[i] as number) + precision * volume_m3;
  sums.square[i] = (sums.square[i] as number) + precision * volume_m3 ** 2;
  sums.sharpness[i] = (sums.sharpness[i] as number) + precision ** 2;
}

/** What a common volume of the candidate's course explains, in variances of a rest; 0 when it would be negative. */
export function explained(courses: CourseSums, i: number): number {
  const volume = courses.volume[i] ?? 0;
  return volume > 0 ? volume ** 2 / (courses.precision[i] ?? 0) : 0;
}

export function bestOf(courses: CourseSums): number {
  let best = 0;
  let most = explained(courses, best);
  for (let i = 1; i < candidates.length; i += 1) {
    const here = explained(courses, i);
    if (!(here > most)) continue;
    best = i;
    most = here;
  }
  return best;
}

/** Mean volume by one candidate, and by how much rests differ beyond their own uncertainty. */
export function volumeBy(courses: CourseSums, weight: number, i: number): [number, number] {
  const precision = courses.precision[i] ?? 0;
  const mean_m3 = (courses.volume[i] ?? 0) / precision;
  const scatter = ((courses.square[i] ?? 0) - mean_m3 ** 2 * precision) / weight;
  return [mean_m3, Math.sqrt((Math.max(0, scatter - 1) * weight) / precision)];
}

/**
 * The best time lies between those that were tried: a parabola through what they explain, over the time's logarithm,
 * whose width says how well it is known. A longer time goes with more water: so the volume is no better known than that.
 */
export function betweenNeighbours(courses: CourseSums, best: number, mean_m3: number) {
  const { course, time_s } = candidates[best] as (typeof candidates)[number];
  const [a, b] = [candidates[best - 1], candidates[best + 1]];
  const seen = (i: number) => (courses.precision[i] ?? 0) > 0;
  if (a?.course !== course || b?.course !== course || !seen(best - 1) || !seen(best + 1))
    return { time_s, volume_m3: mean_m3, uRidge_m3: 0 };
  const [ea, e, eb] = [explained(courses, best - 1), explained(courses, best), explained(courses, best + 1)];
  const xa = Math.log(a.time_s / time_s);
  const xb = Math.log(b.time_s / time_s);
  const [slopeA, slopeB] = [(ea - e) / xa, (eb - e) / xb];
  const bend = (slopeB - slopeA) / (xb - xa);
  const x = bend < 0 ? Math.max(xa, Math.min(xb, (bend * xa - slopeA) / (2 * bend))) : 0;
  const volumeAt = (i: number) => (courses.volume[i] ?? 0) / (courses.precision[i] ?? 1);
  const va = (volumeAt(best - 1) - mean_m3) / xa;
  const vb = (volumeAt(best + 1) - mean_m3) / xb;
  const volumeBend = (vb - va) / (xb - xa);
  const perLogarithm = va + volumeBend * (2 * x - xa);
  return {
    time_s: time_s * Math.exp(x),
    volume_m3: mean_m3 + x * (va + volumeBend * (x - xa)),
    uRidge_m3: bend < 0 ? Math.abs(perLogarithm) / Math.sqrt(-bend) : 0,
  };
}
