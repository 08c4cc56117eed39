// Whether a rest is one: runs that begin and end between two readings, or that a contact misses, make it fall and fill
// again.

import type { CurveSamples } from "../statistics/fit-curve.ts";
import { curveSamples, type SamplesState } from "./samples.ts";
import { closelyRead_s, type TrackerContext } from "./tracker-context.ts";

/** A level that sinks by this share of the swing from one reading to the next has been pumped, or was spiked before. */
const fallOfSwing = 0.12;
/** Spikes make fewer of the readings fall. */
const fewestFalls = 2;
const oftenFalls = 0.15;
/** A single fall by so much, at once or, closely read, within so long, some readings in a row before and after it, is one too. */
const runOfSwing = 0.6;
const longestFall_s = 90;
const fewReadings = 3;

/** What such a rest shows is neither one fill nor its inflow. */
export function runsWentUnseen(samples: SamplesState, { basin, geometry, interval_s }: TrackerContext): boolean {
  const { startLevel_m, stopLevel_m } = basin;
  if (startLevel_m === null || stopLevel_m === null) return false;
  const swing_m3 = geometry.volume_m3(startLevel_m) - geometry.volume_m3(stopLevel_m);
  const curve = curveSamples(samples);
  const closelyRead = interval_s <= closelyRead_s;
  if (fellForGood(curve, runOfSwing * swing_m3, closelyRead ? longestFall_s : 0)) return true;
  return !closelyRead && fallsOften(curve, fallOfSwing * swing_m3);
}

function fallsOften({ y, count }: CurveSamples, least_m3: number): boolean {
  let falls = 0;
  for (let i = 1; i < count; i += 1) if ((y[i - 1] as number) - (y[i] as number) > least_m3) falls += 1;
  return falls >= fewestFalls && falls > oftenFalls * (count - 1);
}

/** What came before lies over all that comes so much later, with one block between them at the least, which the fall may halve. */
function fellForGood({ t, y, count }: CurveSamples, by_m3: number, within_s: number): boolean {
  let after = fewReadings + 1;
  for (let at = fewReadings - 1; after + fewReadings <= count; at += 1) {
    after = Math.max(after, at + 2);
    while (after < count && (t[after] as number) < (t[at] as number) + within_s) after += 1;
    if (after + fewReadings > count) return false;
    if ((y[at] as number) - (y[after] as number) > by_m3 && lies(y, at, after) > by_m3) return true;
  }
  return false;
}

/** By how much the readings up to `at` lie over those from `after` on. */
function lies(y: Float64Array, at: number, after: number): number {
  const before = y.subarray(at - fewReadings + 1, at + 1);
  return Math.min(...before) - Math.max(...y.subarray(after, after + fewReadings));
}
