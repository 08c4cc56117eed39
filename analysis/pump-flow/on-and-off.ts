// A run by the level alone in which the pump went on and off: a float at its trip point that chatters. The water falls by fits
// and starts, and in some of them as fast as ever, which a pump that is worn, or blocked, never shows.

import type { VolumeCourse } from "../inflow/over-time/volume-course.ts";
import { fitCurve } from "../statistics/fit-curve.ts";
import { partOfSamples } from "../statistics/part-of-samples.ts";

/** So many seconds, and readings, show how fast the water falls. */
const stretch_s = 4;
const fewest = 3;
/** From run to run, and as the level falls, what a pump that is well moves differs by less than this share. */
const asEver = 0.85;
/** Standard uncertainties by which a stretch must be steeper than the run: there may be hundreds. */
const clearly = 5;

/**
 * @param course      volumes over the run
 * @param falls_m3s   how fast the pump usually lowers them, what comes in meanwhile left out
 * @param sampleSd_m3 standard deviation of a reading
 */
export function wentOnAndOff({ t, y, n, count }: VolumeCourse, falls_m3s: number, sampleSd_m3: number): boolean {
  if (count < 2 * fewest) return false;
  const mean_m3s = ((y[0] as number) - (y[count - 1] as number)) / ((t[count - 1] as number) - (t[0] as number));
  if (!(mean_m3s < asEver * falls_m3s)) return false;
  for (let from = 0; from + fewest <= count; from += 1) {
    let to = from + fewest - 1;
    while (to < count - 1 && (t[to] as number) - (t[from] as number) < stretch_s) to += 1;
    const line = fitCurve(partOfSamples({ t, y, weight: n, count }, from, to + 1), 1);
    if (line === undefined) continue;
    const { slope, variance } = line.meanSlope(t[from] as number, t[to] as number);
    const u_m3s = Math.sqrt(variance) * sampleSd_m3;
    if (-slope > asEver * falls_m3s && -slope - mean_m3s > clearly * u_m3s) return true;
  }
  return false;
}
