// Rain over a week, minute by minute, from a list of showers. What the ground makes of it stands in runoff.ts.

import type { Random } from "./random.ts";

/** A shower of our own invention. Hours count from the midnight at which the week begins. */
export interface Shower {
  readonly at_h: number;
  readonly length_h: number;
  readonly depth_mm: number;
  /** Where in the shower it rains hardest, 0 to 1. */
  readonly peakAt: number;
}

export const week_s = 7 * 86_400;
export const weekMinutes = week_s / 60;

/**
 * Rain of each minute of the week.
 *
 * Each shower swells and dies as a squared sine, in gusts of five minutes; when and how much differs a little with the
 * random numbers, so that no two weeks are alike.
 *
 * @returns shape (10,080), millimetres in that minute
 */
export function rainOfWeek_mm(showers: readonly Shower[], random: Random): Float64Array {
  const rain_mm = new Float64Array(weekMinutes);
  for (const shower of showers) addShower(rain_mm, varied(shower, random), random);
  return rain_mm;
}

function varied(shower: Shower, random: Random): Shower {
  const between = (low: number, high: number) => low + (high - low) * random.uniform();
  return { ...shower, at_h: shower.at_h + between(-0.75, 0.75), depth_mm: shower.depth_mm * between(0.85, 1.15) };
}

function addShower(rain_mm: Float64Array, shower: Shower, random: Random): void {
  const first = Math.round(shower.at_h * 60);
  const length = Math.max(1, Math.round(shower.length_h * 60));
  const shape = new Float64Array(length);
  let gust = 1;
  for (let i = 0; i < length; i++) {
    if (i % 5 === 0) gust = 0.4 + 1.2 * random.uniform();
    shape[i] = gust * swell((i + 0.5) / length, shower.peakAt);
  }
  const total = shape.reduce((sum, part) => sum + part, 0);
  shape.forEach((part, i) => {
    const minute = first + i;
    if (minute >= 0 && minute < rain_mm.length)
      rain_mm[minute] = (rain_mm[minute] ?? 0) + (shower.depth_mm * part) / total;
  });
}

function swell(x: number, peakAt: number): number {
  const phase = x < peakAt ? x / peakAt / 2 : 0.5 + (x - peakAt) / (1 - peakAt) / 2;
  return Math.sin(Math.PI * phase) ** 2;
}

/** The midnight at which the first week begins, so that an evening's storm comes in the evening. */
export function localMidnight_s(time_s: number, timezone: string): number {
  const instant = Temporal.Instant.fromEpochMilliseconds(Math.floor(time_s * 1000));
  return instant.toZonedDateTimeISO(timezone).startOfDay().epochMilliseconds / 1000;
}
