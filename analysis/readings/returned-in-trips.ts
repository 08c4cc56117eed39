// Whether it is water that runs back after the stops by which the float's trips seem to have moved apart or together, and no
// level sensor whose span goes off.

import { medianInPlace } from "../statistics/median.ts";
import type { TripLevelsState, Trips } from "./trip-levels.ts";

/** Of the span's loss so much may be water that runs back before a stop is seen: the pump seems to stop higher. */
const ofTheLoss = 0.5;
/** … or what the stop seems to have moved by, where the start has moved by less than this share of it. */
export const startMoves = 0.25;
const latestTrips = 12;
const latestReturns = 8;

/** @param span_share by which the distance between the trips has changed, as a share of it */
export function isReturnedWater(state: TripLevelsState, span_share: number): boolean {
  if (Number.isNaN(state.start_m)) return false;
  const latest = state.recent.slice(-latestTrips);
  if (onlyStopMoved(state, latest)) return true;
  const returned_m = medianInPlace(latest.slice(-latestReturns).flatMap((trips) => trips.returned_m ?? []));
  return returned_m > ofTheLoss * -span_share * (state.start_m - state.stop_m) && span_share < 0;
}

/** A span that goes off moves both trips, but for a level that happens to be read right: water that runs back, the stop alone. */
function onlyStopMoved({ start_m, stop_m }: TripLevelsState, latest: readonly Trips[]): boolean {
  const moved_m = (off_m: number[]) => Math.abs(medianInPlace(off_m));
  const start = moved_m(latest.map((trips) => trips.start_m - start_m));
  const stop = moved_m(latest.map((trips) => trips.stop_m - stop_m));
  return start < startMoves * stop;
}
