// Whether a rest, by readings far apart, is one: runs that begin and end between two of them make it fall and fill again.

import { curveSamples, type SamplesState } from "./samples.ts";
import { closelyRead_s, type TrackerContext } from "./tracker-context.ts";

/** A level that sinks by this share of the swing from one reading to the next has been pumped, or was spiked before. */
const fallOfSwing = 0.12;
/** Spikes make fewer of the readings fall. */
const fewestFalls = 2;
const oftenFalls = 0.15;

/** What such a rest shows is neither one fill nor its inflow. */
export function runsWentUnseen(samples: SamplesState, { basin, geometry, interval_s }: TrackerContext): boolean {
  const { startLevel_m, stopLevel_m } = basin;
  if (!(interval_s > closelyRead_s) || startLevel_m === null || stopLevel_m === null) return false;
  const least_m3 = fallOfSwing * (geometry.volume_m3(startLevel_m) - geometry.volume_m3(stopLevel_m));
  const { y, count } = curveSamples(samples);
  let falls = 0;
  for (let i = 1; i < count; i += 1) if ((y[i - 1] as number) - (y[i] as number) > least_m3) falls += 1;
  return falls >= fewestFalls && falls > oftenFalls * (count - 1);
}
