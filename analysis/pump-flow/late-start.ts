// How long a run moved little before the pump came up: air caught in it, a valve slow to open.

import { scatterOfSamples_m3 } from "../inflow/sensor-errors/scatter-of-reading.ts";
import type { CurveSamples } from "../statistics/fit-curve.ts";
import { medianOfThree } from "../statistics/median.ts";

/** The first part of the fall, by which a late start shows. */
const firstPart = 0.15;
const fewest = 8;
/** Readings further apart on the whole do not tell seconds, and may seem late by two of them; beyond the other, by more. */
const secondsShow_s = 2;
const mostApart_s = 5;
/** A fall of fewer standard steps between neighbours than this is hidden in them. */
const clearOfNoise = 12;

/**
 * Time that the first 15 % of a run's fall took beyond what they would have taken at the pace of the rest of it; some
 * half a second for a sound pump's spin-up.
 *
 * @param samples  volumes in m³ against seconds since the start
 * @param run_s    length of the run
 * @returns seconds, 0 or above, at the least; null with fewer than 8 samples, no clear fall, or levels read seldom
 */
export function lateStart_s({ t, y, count }: CurveSamples, run_s: number): number | null {
  const last = count - 1;
  if (count < fewest || run_s - (t[last] ?? 0) > run_s / 4) return null;
  const apart_s = ((t[last] ?? 0) - (t[0] ?? 0)) / last;
  if (apart_s > mostApart_s) return null;
  const first_m3 = middle(y, 0);
  const fall_m3 = first_m3 - middle(y, last - 2);
  if (!(fall_m3 > clearOfNoise * scatterOfSamples_m3(y, count))) return null;
  let i = 1;
  while (i < last && middle(y, i - 1) > first_m3 - firstPart * fall_m3) i += 1;
  const reached_s = t[i] ?? 0;
  const atPace_s = ((run_s - reached_s) * firstPart) / (1 - firstPart);
  return Math.max(0, reached_s - atPace_s - (apart_s > secondsShow_s ? 2 * apart_s : 0));
}

/** Of three neighbours from `i` on: a spike is no fall. */
function middle(y: Float64Array, i: number): number {
  return medianOfThree(y[i] ?? Number.NaN, y[i + 1] ?? Number.NaN, y[i + 2] ?? Number.NaN);
}
