// Whether a rest is one: runs that begin and end between two readings, or that a contact misses, make it fall and fill
// again. Where it shows when they were, the fills between them are known.

import { takeOutLeapsBack } from "../inflow/poured-in/leapt-back.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import type { UsualTrips } from "../readings/level-screen.ts";
import type { CurveSamples } from "../statistics/fit-curve.ts";
import { medianOfThree } from "../statistics/median.ts";
import { curveSamples, type SamplesState } from "./samples.ts";
import type { TrackerContext } from "./tracker-context.ts";

/** A level that sinks by this share of the swing from one reading to the next has been pumped, or was spiked before. */
const fallOfSwing = 0.12;
/** Spikes make fewer of the readings fall. */
const fewestFalls = 2;
const oftenFalls = 0.15;
/** A single fall by so much within so long, some readings in a row before and after it, is one too. */
const runOfSwing = 0.6;
const longestFall_s = 90;
const fewReadings = 3;
/** Where much comes in, three readings about a turn lie far apart: all of them need lie only so much of it apart. */
const forSure = 0.5;
/** Once it has risen again by this share of what makes a fall, that is over. */
const turned = 0.1;
/** Read so often, every such fall shows when it was. */
const showsFalls_s = 12;

/** Part of a rest between two falls, by its first and its last sample. */
export interface Fill {
  readonly first: number;
  readonly last: number;
}

/** Levels between which the water goes up and down. */
interface Between {
  readonly start_m: number;
  readonly stop_m: number;
}

/**
 * What the rest shows is one fill: null. Else the fills that it is made of; none where they cannot be told apart.
 *
 * @param samples changed where the level leapt away and back: see leapt-back.ts
 * @param seen where the float trips, by what was seen of it, for a site file that does not say; null while that is not known
 */
export function fillsBetweenRuns(
  samples: SamplesState,
  context: TrackerContext,
  seen: Between | null = null,
): readonly Fill[] | null {
  const { basin, geometry, interval_s, resolution_m } = context;
  const { startLevel_m, stopLevel_m } = basin;
  const stated = startLevel_m === null || stopLevel_m === null ? null : { start_m: startLevel_m, stop_m: stopLevel_m };
  const between = stated ?? seen;
  if (between === null) return null;
  const swing_m3 = geometry.volume_m3(between.start_m) - geometry.volume_m3(between.stop_m);
  const curve = curveSamples(samples);
  const fills = fillsOf(curve, runOfSwing * swing_m3, interval_s <= showsFalls_s ? longestFall_s : 0);
  const tosses = (fill: Fill) => fallsOften(curve, fill, fallOfSwing * swing_m3);
  if (fills.length > 1) {
    // A spike that the sensor holds falls and rises again as no water does, and parts no rest.
    const step_m3 = Number.isFinite(resolution_m) ? resolution_m * geometry.area_m2(between.stop_m) : 0;
    if (takeOutLeapsBack(curve, step_m3)) return fillsBetweenRuns(samples, context, seen);
    // Foam on the water tosses the level about, or stands there for a while, and parts no rest.
    const isFoam = fills.some(tosses) || fills.slice(0, -1).some((fill) => risesAtOnce(curve, fill));
    const isLate = showsRunLate(curve, fills[0], turned * runOfSwing * swing_m3);
    return interval_s > showsFalls_s || isFoam || isLate ? [] : fills;
  }
  return interval_s > closelyRead_s && fills.some(tosses) ? [] : null;
}

/** Where the float usually trips or, of readings so far apart that runs go by between them, tripped in the run before. */
export function seenBetween(
  trips: UsualTrips | null,
  before: { readonly startLevel_m: number | null; readonly stopLevel_m: number | null } | null,
  interval_s: number,
): Between | null {
  if (trips !== null) return trips;
  if (!(interval_s > showsFalls_s) || before === null || before.startLevel_m === null) return null;
  return before.stopLevel_m === null ? null : { start_m: before.startLevel_m, stop_m: before.stopLevel_m };
}

/** Water fills a basin by and by: what leaps up before it falls again is the sensor's, or was poured in. */
const mostAtOnce = 0.5;

function risesAtOnce({ y }: CurveSamples, { first, last }: Fill): boolean {
  if (last - first < 2 * fewReadings) return false;
  const rise_m3 = (y[last] as number) - (y[first] as number);
  for (let i = first + 1; i <= last; i += 1)
    if ((y[i] as number) - (y[i - 1] as number) > mostAtOnce * rise_m3) return true;
  return false;
}

/** A sensor that says its value again for long shows the run that is just over as a fall at the beginning of the rest. */
function showsRunLate({ t, y }: CurveSamples, fill: Fill | undefined, least_m3: number): boolean {
  return (
    fill !== undefined &&
    (t[fill.last] as number) < longestFall_s &&
    (y[fill.last] as number) - (y[0] as number) < least_m3
  );
}

/** Of so few readings one that is wrong makes all of the slope. */
const fewInRest = 5;
/** So far beyond where the float trips, as a share of the way between, no reading of a pump that works lies. Judgement, no source. */
const beyond = 0.25;

/**
 * A short rest between runs that were read off levels far apart, and one of its levels beyond both: no water that came in.
 *
 * @param trips where the float usually trips; null while that is not known
 */
export function liesBeyondTrips(
  { y, count }: SamplesState,
  { inferred, interval_s, geometry }: TrackerContext,
  trips: UsualTrips | null,
): boolean {
  if (!inferred || interval_s <= closelyRead_s || trips === null || count > fewInRest) return false;
  const off_m = beyond * (trips.start_m - trips.stop_m);
  const [lowest_m3, highest_m3] = [geometry.volume_m3(trips.stop_m - off_m), geometry.volume_m3(trips.start_m + off_m)];
  for (let i = 0; i < count; i += 1) {
    if (!((y[i] as number) >= lowest_m3 && (y[i] as number) <= highest_m3)) return true;
  }
  return false;
}

function fallsOften({ y }: CurveSamples, { first, last }: Fill, least_m3: number): boolean {
  let falls = 0;
  for (let i = first + 1; i <= last; i += 1) if ((y[i - 1] as number) - (y[i] as number) > least_m3) falls += 1;
  return falls >= fewestFalls && falls > oftenFalls * (last - first);
}

/** Parts it where within so long, with one block between them at the least, some readings in a row lie so much lower. */
function fillsOf({ t, y, count }: CurveSamples, by_m3: number, within_s: number): Fill[] {
  const whole = { first: 0, last: count - 1 };
  if (!sinksBy(y, count, forSure * by_m3)) return [whole];
  const fills: Fill[] = [];
  let first = 0;
  let top = -1;
  for (let after = fewReadings + 1; after + fewReadings <= count; after += 1) {
    const newest = after - 2;
    // Fewer readings are no fill: just after a stop they are spikes in a row.
    const from = Math.max(first + fewReadings, firstWithin(t, newest, within_s, t[after] as number));
    if (from > newest) continue;
    if (top < from) top = highest(y, from, newest);
    else if (lowestUpTo(y, newest) >= lowestUpTo(y, top)) top = newest;
    if (!(lowestUpTo(y, top) - highestFrom(y, after) > forSure * by_m3)) continue;
    if (!(medianFrom(y, top - fewReadings + 1) - medianFrom(y, after) > by_m3)) continue;
    // The highest reading may be of the fall already, and the lowest of it still.
    fills.push({ first, last: top - 1 });
    first = Math.min(bottomOf(y, after, count, turned * by_m3) + 1, count - fewReadings);
    after = first + fewReadings - 2;
    top = -1;
  }
  return [...fills, { ...whole, first }];
}

/** Whether any reading lies more than that below one before it: no rest of one fill does, seen at little cost. */
function sinksBy(y: Float64Array, count: number, least_m3: number): boolean {
  let highest_m3 = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < count; i += 1) {
    const now_m3 = y[i] as number;
    if (highest_m3 - now_m3 > least_m3) return true;
    if (now_m3 > highest_m3) highest_m3 = now_m3;
  }
  return false;
}

/** The first of those up to `newest` that lies within so long before `to_s`. */
function firstWithin(t: Float64Array, newest: number, within_s: number, to_s: number): number {
  let from = newest;
  while (from > 0 && (t[from - 1] as number) >= to_s - within_s) from -= 1;
  return from;
}

/** Where the readings up to it lie highest, the last of those alike. */
function highest(y: Float64Array, from: number, to: number): number {
  let best = from;
  for (let i = from + 1; i <= to; i += 1) if (lowestUpTo(y, i) >= lowestUpTo(y, best)) best = i;
  return best;
}

/** Where the fall that goes on at `from` ends: the lowest before the level has risen by so much again. */
function bottomOf(y: Float64Array, from: number, count: number, rise_m3: number): number {
  let best = from;
  for (let i = from + 1; i + fewReadings <= count; i += 1) {
    if (highestFrom(y, i) < highestFrom(y, best)) best = i;
    else if (lowestUpTo(y, i + fewReadings - 1) > highestFrom(y, best) + rise_m3) break;
  }
  return best;
}

/** A spike or two make no top and no bottom. */
function lowestUpTo(y: Float64Array, at: number): number {
  return Math.min(...y.subarray(at - fewReadings + 1, at + 1));
}

function medianFrom(y: Float64Array, at: number): number {
  return medianOfThree(y[at] as number, y[at + 1] as number, y[at + 2] as number);
}

function highestFrom(y: Float64Array, at: number): number {
  return Math.max(...y.subarray(at, at + fewReadings));
}
