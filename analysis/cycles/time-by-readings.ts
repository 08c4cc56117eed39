// How long a run fell where readings are so far apart that the level shows neither of its turns.

import type { Cycle } from "./cycle.ts";
import type { EndedRun, RestSummary } from "./ended-run.ts";

/**
 * This share from either end of the fall the sensor's noise, the pump's coming up and what runs back decide on which side of
 * the turn a reading counts.
 */
const margin = 0.1;
const none = { y: [], n: [], count: 0 } as const;

/** In rests of more readings than this what comes in from one to the next reaches no further than half the margin. */
export const fewestInRest = 2 / margin;

/** For so long each reading on the way down stands. */
export function readingStandsFor_s(interval_s: number): number {
  return interval_s / (1 - 2 * margin);
}

/**
 * By how many levels were read on the way down, away from both of its ends: a pump at full flow spends its share of the time
 * there, wherever readings come. Of one run that says hardly anything, of many together much.
 *
 * @returns NaN where it is not known from where to where the water fell
 */
export function timeByReadings_s(
  { before, course, farApart }: Pick<EndedRun, "before" | "course" | "farApart">,
  after: RestSummary,
  { drainBack_m3 }: Pick<Cycle, "drainBack_m3">,
  interval_s: number,
): number {
  const start_m3 = before?.endVolume_m3 ?? Number.NaN;
  const stop_m3 = (after.startVolume_m3 ?? Number.NaN) - (drainBack_m3 ?? 0);
  const fall_m3 = start_m3 - stop_m3;
  if (!(fall_m3 > 0)) return Number.NaN;
  const levels = course ?? farApart ?? none;
  const half_m3 = (0.5 - margin) * fall_m3;
  let read = 0;
  for (let i = 0; i < levels.count; i += 1) {
    const fromMiddle_m3 = (levels.y[i] ?? Number.NaN) - (start_m3 + stop_m3) / 2;
    if (Math.abs(fromMiddle_m3) < half_m3) read += levels.n[i] ?? 0;
  }
  return read * readingStandsFor_s(interval_s);
}
