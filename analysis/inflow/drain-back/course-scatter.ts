// How differently one rest after the other would have it that water came back. Through a leaking valve the same comes each
// time; inflow that wanders within minutes makes more of one rest and less of the next, so that some in a row look like a
// leak by chance.

import { candidates } from "./slow-course.ts";

/** Per candidate, beside a line or a parabola. */
export interface CourseScatter {
  /** What the latest rest made of it, m³; null before the first. */
  readonly last_m3: (number | null)[];
  /** Of the changes from each rest to the next, whichever way: how many count, and the sum of their roots. */
  readonly weight: number[];
  readonly roots: number[];
}

/** Share of the past that counts on at every new rest: a memory of some fifty. */
const memory = 0.98;
/**
 * Rest against rest, so that a valve that begins to leak counts once (von Neumann, 1941); by the mean of the roots, so that
 * a household's water in some rests hardly counts. Of normal errors that mean is 0.978 roots of their standard deviation.
 */
const rootOfSd = 0.978;
/** Fewer changes say nothing of the scatter. */
const fewest = 3;

export function newCourseScatter(): CourseScatter {
  return { last_m3: candidates.map(() => null), weight: candidates.map(() => 0), roots: candidates.map(() => 0) };
}

/** @param volume_m3 that one rest would have it came back in the candidate's course */
export function noteVolume({ last_m3, weight, roots }: CourseScatter, i: number, volume_m3: number): void {
  const before_m3 = last_m3[i] ?? null;
  if (before_m3 !== null) {
    weight[i] = memory * (weight[i] as number) + 1;
    roots[i] = memory * (roots[i] as number) + Math.sqrt(Math.abs(volume_m3 - before_m3));
  }
  last_m3[i] = volume_m3;
}

/** Standard deviation of what one rest would have it came back, m³; 0 while too few tell. */
export function scatterOf_m3({ weight, roots }: CourseScatter, i: number): number {
  const count = weight[i] as number;
  return count < fewest ? 0 : ((roots[i] as number) / count / rootOfSd) ** 2;
}
