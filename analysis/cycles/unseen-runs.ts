// Whether a rest, by readings far apart, is one: runs that begin and end between two of them make it fall and fill again.

import { curveSamples, type SamplesState } from "./samples.ts";
import { closelyRead_s, type TrackerContext } from "./tracker-context.ts";

/** A level that sinks by this share of the swing from one reading to the next has been pumped, or was spiked before. */
const fallOfSwing = 0.12;
/** Spikes make fewer of the readings fall. */
const fewestFalls = 2;
const oftenFalls = 0.15;
/** A single one by so much, after which the level stays down for a few readings, is a run too. */
const runOfSwing = 0.6;
const fewReadings = 3;

/** What such a rest shows is neither one fill nor its inflow. */
export function runsWentUnseen(samples: SamplesState, { basin, geometry, interval_s }: TrackerContext): boolean {
  const { startLevel_m, stopLevel_m } = basin;
  if (!(interval_s > closelyRead_s) || startLevel_m === null || stopLevel_m === null) return false;
  const swing_m3 = geometry.volume_m3(startLevel_m) - geometry.volume_m3(stopLevel_m);
  const least_m3 = fallOfSwing * swing_m3;
  const { y, count } = curveSamples(samples);
  let falls = 0;
  for (let i = 1; i < count; i += 1) {
    if ((y[i - 1] as number) - (y[i] as number) > least_m3) falls += 1;
    if (staysDown(y, count, i, runOfSwing * swing_m3)) return true;
  }
  return falls >= fewestFalls && falls > oftenFalls * (count - 1);
}

/** What came before lies over all that comes next; between them is one block, in which the fall may lie. */
function staysDown(y: Float64Array, count: number, at: number, by_m3: number): boolean {
  if (at < fewReadings || at + fewReadings >= count) return false;
  if (!((y[at - 1] as number) - (y[at + 1] as number) > by_m3)) return false;
  const before = y.subarray(at - fewReadings, at);
  return Math.min(...before) - Math.max(...y.subarray(at + 1, at + 1 + fewReadings)) > by_m3;
}
