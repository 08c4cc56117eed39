// Where the inflow rises and comes back: the bare passages, on even steps, that find-storms.ts looks at one by one.

import { medianInPlace } from "../statistics/median.ts";
import type { EvenSeries } from "./even-series.ts";

export type RiseEnd = "back-to-base" | "next-storm" | "gap" | "end-of-record";

export interface Rise {
  /** Steps: the last before the rise, the highest, the one after the end. */
  readonly onset: number;
  readonly top: number;
  readonly end: number;
  readonly ended: RiseEnd;
  /** Flow at the onset, smoothed, m³/s; and the lowest of the day before. */
  readonly onset_m3s: number;
  readonly dry_m3s: number;
}

export interface RiseRule {
  /** A rise is less than a storm under the greatest of so much, m³/s, … */
  readonly least_m3s: number;
  /** … so many times the noise of a step, and such a share of the flow before. */
  readonly timesNoise: number;
  readonly shareOfBase: number;
}

/** Spikes shorter than half of this are no storm's. */
const smoothed_s = 2100;
const day_s = 86_400;
/** A storm is over when so little of its height is left, or so little of it still goes in half a day. */
const overAt = 0.05;
/** Down by half and up again by a quarter, and it is another storm. */
const fallen = 0.5;
const upAgain = 0.25;

/** Running median: follows a storm, does not see a washing machine. NaN stays NaN. */
export function smoothed({ value, step_s }: EvenSeries): Float64Array {
  const reach = Math.floor(smoothed_s / step_s / 2);
  if (reach < 1) return value;
  const around = new Float64Array(2 * reach + 1);
  return value.map((now, i) => {
    if (Number.isNaN(now)) return now;
    let count = 0;
    for (let j = Math.max(0, i - reach); j <= Math.min(value.length - 1, i + reach); j += 1) {
      if (!Number.isNaN(value[j] as number)) around[count++] = value[j] as number;
    }
    return medianInPlace(around, count);
  });
}

/** Gaps of up to `longest_s` bridged by a straight line. */
export function bridged({ from_s, step_s, value }: EvenSeries, longest_s: number): EvenSeries {
  const filled = value.slice();
  const most = Math.floor(longest_s / step_s);
  let last = -1;
  for (let i = 0; i < filled.length; i += 1) {
    if (Number.isNaN(filled[i] as number)) continue;
    const missing = i - last - 1;
    if (last >= 0 && missing > 0 && missing <= most) {
      const slope = ((filled[i] as number) - (filled[last] as number)) / (i - last);
      for (let j = last + 1; j < i; j += 1) filled[j] = (filled[last] as number) + slope * (j - last);
    }
    last = i;
  }
  return { from_s, step_s, value: filled };
}

/** Robust standard deviation of a step, by differences of neighbours. */
export function noiseOfSteps(value: Float64Array): number {
  const steps: number[] = [];
  for (let i = 1; i < value.length; i += 1) {
    const step = Math.abs((value[i] as number) - (value[i - 1] as number));
    if (step > 0) steps.push(step);
  }
  // Steps of 0 are stretches longer than a step, not a flow without noise.
  return steps.length < 8 ? 0 : (1.4826 * medianInPlace(steps)) / Math.SQRT2;
}

/** @param smooth `smoothed` series; @param noise_m3s of one of its steps */
export function findRises(smooth: Float64Array, step_s: number, noise_m3s: number, rule: RiseRule): Rise[] {
  const rises: Rise[] = [];
  const calm = Math.max(6, Math.round(day_s / 2 / step_s));
  let i = 0;
  let from = 0;
  while (i < smooth.length) {
    const now = smooth[i] as number;
    if (Number.isNaN(now)) {
      from = i + 1;
      i += 1;
      continue;
    }
    const first = Math.max(from, i - 2 * calm);
    const low = lowest(smooth, first, i);
    const dry = lowest(smooth, Math.max(0, i - 2 * calm), i);
    const least = Math.max(rule.least_m3s, rule.timesNoise * noise_m3s, rule.shareOfBase * dry);
    if (now - low <= least) {
      i += 1;
      continue;
    }
    const rise = { ...follow(smooth, i, first, low, least, noise_m3s, calm), dry_m3s: dry };
    rises.push(rise);
    // A storm that begins in another's recession is looked for from the trough on.
    from = rise.end;
    i = rise.end + (rise.ended === "next-storm" ? 1 : 0);
  }
  return rises;
}

function follow(
  smooth: Float64Array,
  at: number,
  from: number,
  low_m3s: number,
  least_m3s: number,
  noise_m3s: number,
  calm: number,
): Omit<Rise, "dry_m3s"> {
  let onset = at;
  const near_m3s = low_m3s + Math.max(noise_m3s, 0.1 * least_m3s);
  while (onset > from && !((smooth[onset] as number) <= near_m3s)) onset -= 1;
  const onset_m3s = smooth[onset] as number;
  let top = at;
  let trough = at;
  const done = (end: number, ended: RiseEnd) => ({ onset, top, end, ended, onset_m3s });
  for (let i = at; i < smooth.length; i += 1) {
    const now = smooth[i] as number;
    if (Number.isNaN(now)) return done(i, "gap");
    if (now > (smooth[top] as number)) top = i;
    if (now < (smooth[trough] as number) || trough < top) trough = i;
    const height = (smooth[top] as number) - onset_m3s;
    const left = now - onset_m3s;
    const rest = Math.max(overAt * height, noise_m3s);
    if (i > top && left < rest) return done(i, "back-to-base");
    const lowest_m3s = smooth[trough] as number;
    const down = lowest_m3s - onset_m3s < fallen * height;
    if (down && now - lowest_m3s > Math.max(least_m3s, upAgain * height)) return done(trough, "next-storm");
    const before = smooth[i - calm] as number;
    if (i - calm > top && down && before - now < rest) return done(i - calm, "back-to-base");
  }
  return done(smooth.length, "end-of-record");
}

export function highest(values: Float64Array): number {
  return values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
}

/** Infinity where nothing is known. */
export function lowest(values: Float64Array, from: number, to: number): number {
  let low = Number.POSITIVE_INFINITY;
  for (let i = from; i <= Math.min(to, values.length - 1); i += 1)
    if ((values[i] as number) < low) low = values[i] as number;
  return low;
}
