// Whether the level turns where the pump's float trips: a pump that starts and stops makes it do so, water that comes faster
// and slower while the pump runs on can move it anywhere.

import { seenTrips, type TripLevelsState } from "../../readings/trip-levels.ts";
import type { BasinSite } from "../../site.ts";

/** From where the level has begun to fall, down to its lowest so far. */
export interface Fall {
  readonly top_m: number;
  readonly lowest_m: number;
  /** By how much the water rises between two readings, unseen. */
  readonly unseen_m: number;
}

export interface TurnsAtFloat {
  readonly atStart: boolean;
  readonly atStop: boolean;
  /** Clearly over where the float closes. */
  readonly overStart: boolean;
}

/** So near to a trip, as a share of the swing between both: floats, and what runs back, scatter by less. Judgement, no source. */
const near = 0.25;
/** … and clearly over it is so much, which is where a pump that stands by for another hangs its float. As above. */
const clearlyOver = 0.1;
const clearlyOver_m = 0.02;

/**
 * Whether the fall began where the float closes, and has ended where it opens. Before cycles have shown where that is, by this
 * sensor, it ought to be no deeper than the site file says; where that says nothing either, it is taken as if it had.
 */
export function turnsAtFloat(trips: TripLevelsState, basin: BasinSite, fall: Fall): TurnsAtFloat {
  const { top_m, lowest_m, unseen_m } = fall;
  const seen = seenTrips(trips);
  if (seen !== null) {
    const near_m = near * (seen.start_m - seen.stop_m) + unseen_m;
    const over_m = top_m - seen.start_m;
    return {
      atStart: Math.abs(over_m) <= near_m,
      atStop: lowest_m - seen.stop_m <= near_m,
      overStart: over_m > Math.max(clearlyOver_m, clearlyOver * (seen.start_m - seen.stop_m)) + unseen_m,
    };
  }
  const { startLevel_m, stopLevel_m } = basin;
  if (startLevel_m === null || stopLevel_m === null) return { atStart: true, atStop: true, overStart: false };
  const asDeep = top_m - lowest_m <= (1 + near) * (startLevel_m - stopLevel_m) + unseen_m;
  return { atStart: asDeep, atStop: asDeep, overStart: false };
}
