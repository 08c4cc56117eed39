// Many courses of returning water tried on one rest, each beside the same line or parabola: sums over the samples in one
// pass for each course, since what the curve leaves of the samples is at right angles to all that it can stand in for.

import { orthogonalAt, type PolynomialFit } from "../../statistics/orthogonal-polynomial.ts";
import { workplace } from "../../statistics/workplace.ts";
import type { SlowCourse } from "./slow-course.ts";

/** Samples with what they weigh, times, and weights times the curve's functions and times what the curve leaves. */
export interface CurveBeside {
  readonly count: number;
  readonly t: Float64Array;
  readonly weight: Float64Array;
  readonly tilted: Float64Array;
  /** All 0 beside a line. */
  readonly bent: Float64Array;
  readonly left: Float64Array;
  /** Sums of weight, tilted, bent and left, from each sample to the last: four for each, and four zeros. */
  readonly tails: Float64Array;
  /** Squared norms of the constant, the slope function and the bend. */
  readonly norms: readonly [number, number, number];
}

const tiltedIn = workplace();
const bentIn = workplace();
const leftIn = workplace();
const tailsIn = workplace();

/** @param curve a line or a parabola. What is given is good until the next is made. */
export function curveBeside(curve: PolynomialFit): CurveBeside {
  const { t, y, weight, count } = curve.samples;
  const [level = 0, slope = 0, bend = 0] = curve.orthogonal;
  const tilted = tiltedIn(count);
  const bent = bentIn(count);
  const left = leftIn(count);
  for (let i = 0; i < count; i += 1) {
    const w = weight[i] as number;
    const tilt = orthogonalAt(curve, 1, t[i] as number);
    const bow = curve.norms.length < 3 ? 0 : orthogonalAt(curve, 2, t[i] as number);
    tilted[i] = w * tilt;
    bent[i] = w * bow;
    left[i] = w * ((y[i] as number) - level - slope * tilt - bend * bow);
  }
  const tails = tailsIn(4 * count + 4).fill(0, 4 * count, 4 * count + 4);
  for (let i = count - 1; i >= 0; i -= 1) {
    const at = 4 * i;
    tails[at] = (tails[at + 4] as number) + (weight[i] as number);
    tails[at + 1] = (tails[at + 5] as number) + (tilted[i] as number);
    tails[at + 2] = (tails[at + 6] as number) + (bent[i] as number);
    tails[at + 3] = (tails[at + 7] as number) + (left[i] as number);
  }
  const [a = 0, b = 0, c = Number.POSITIVE_INFINITY] = curve.norms;
  return { count, t, weight, tilted, bent, left, tails, norms: [a, b, c] };
}

export interface CourseExplains {
  readonly coefficient: number;
  readonly norm: number;
  /** What the course has of the parabola's bend; 0 beside a line. */
  readonly bow: number;
}

/** Less than this of what came at first is none. */
const nothing = 1e-7;
/** Steps of time that differ by less than this share of the course's time are one. */
const sameStep = 1e-12;

/**
 * Coefficient of a course beside the curve, and squared norm of what the curve cannot stand in for; by `coefficient² · norm`
 * the sum of squares falls. Null where the curve can stand in for all of it.
 */
export function courseExplains(
  { count, t, weight, tilted, bent, left, tails, norms }: CurveBeside,
  { course, time_s }: { readonly course: SlowCourse; readonly time_s: number },
): CourseExplains | null {
  const start_s = t[0] as number;
  const start = outAt(course, time_s, start_s);
  const over = nothing * start;
  let sum = 0;
  let tilt = 0;
  let bow = 0;
  let product = 0;
  let square = 0;
  let before_s = start_s;
  let step_s = Number.NaN;
  let factor = 1;
  let out = start;
  let i = 0;
  for (; i < count; i += 1) {
    const at_s = t[i] as number;
    if (course !== "fading") out = outAt(course, time_s, at_s);
    else if (i > 0) {
      // Readings by the clock, and blocks of them, are equally far apart: each has faded as much as the one before.
      if (!(Math.abs(at_s - before_s - step_s) <= sameStep * time_s)) {
        step_s = at_s - before_s;
        factor = Math.exp(-step_s / time_s);
      }
      out *= factor;
      before_s = at_s;
    }
    if (out <= over) break;
    // Less its beginning, which any curve can stand in for: a slow course hardly moves from there.
    const f = out - start;
    const w = (weight[i] as number) * f;
    sum += w;
    square += w * f;
    tilt += (tilted[i] as number) * f;
    bow += (bent[i] as number) * f;
    product += (left[i] as number) * f;
  }
  // From here on all is back.
  const rest = 4 * i;
  sum -= start * (tails[rest] as number);
  square += start * start * (tails[rest] as number);
  tilt -= start * (tails[rest + 1] as number);
  bow -= start * (tails[rest + 2] as number);
  product -= start * (tails[rest + 3] as number);
  const norm = square - sum ** 2 / norms[0] - tilt ** 2 / norms[1] - bow ** 2 / norms[2];
  return norm > 1e-12 * square && norm > 0 ? { coefficient: product / norm, norm, bow: bow / norms[2] } : null;
}

/** What a course explains beside a line, by what it does beside a parabola with this bend, and the bend's squared norm. */
export function besideLine(
  { coefficient, norm, bow }: CourseExplains,
  bend: { readonly coefficient: number; readonly norm: number },
): { readonly coefficient: number; readonly norm: number } {
  const all = norm + bow ** 2 * bend.norm;
  return { coefficient: (coefficient * norm + bend.coefficient * bow * bend.norm) / all, norm: all };
}

function outAt(course: SlowCourse, time_s: number, at_s: number): number {
  if (course === "fading") return Math.exp(-at_s / time_s);
  const share = at_s < time_s ? 1 - at_s / time_s : 0;
  return course === "draining" ? share * share : share;
}
