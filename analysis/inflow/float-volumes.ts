// The stored volumes at which the pump's float starts and stops it: as its trips show them in the readings, and as the
// site file says as far as they leave that open.

import type { BasinGeometry } from "../geometry/basin.ts";
import { middleTrips, seenTrips, type TripLevelsState } from "../readings/trip-levels.ts";
import type { BasinSite } from "../site.ts";
import { usuallyReturned_m3 } from "./seldom-readings/cycle-grid.ts";

export interface FloatVolumes {
  readonly stop_m3: number;
  /** Between the two. */
  readonly active_m3: number;
  /** How far off a trip is: standard deviation of the volume at one; 0 before it is learned. */
  readonly scatter_m3: number;
}

/** A stop seen by readings far apart is off by so much for reasons of its own; judgement, no source. */
const beside_m = 0.002;
/** A level is read off a ruler and written down to 5 mm or a quarter of an inch (uniform: GUM 4.3.7), and agrees within 95 %. */
const uStated_m = 0.002;
const agrees = 3;

/**
 * A start is seen as it is, on the average. A stop is mostly seen late, when water has come in and back already, and early
 * where more is taken for returned than is: by no more than comes in between two readings and twice what usually returns.
 * Where the stated stop lies within that, it is taken.
 *
 * @returns null where a level is neither stated nor learned
 */
export function floatVolumes(trips: TripLevelsState, basin: BasinSite, geometry: BasinGeometry): FloatVolumes | null {
  const seen = seenTrips(trips);
  const start_m = seen === null ? basin.startLevel_m : startLevel_m(seen.start_m, seen.uStart_m);
  const stop_m = seen === null ? basin.stopLevel_m : stopLevel_m(seen.stop_m, seen.blur_m);
  if (start_m === null || stop_m === null || !(start_m > stop_m)) return null;
  const stop_m3 = geometry.volume_m3(stop_m);
  const middle = middleTrips(trips);
  const scatter_m = middle === null ? 0 : Math.hypot(middle.start.scatter_m, middle.stop.scatter_m) / Math.SQRT2;
  return {
    stop_m3,
    active_m3: geometry.volume_m3(start_m) - stop_m3,
    scatter_m3: scatter_m * geometry.area_m2(start_m),
  };

  /** Together with what is stated, where the two agree: few cycles of a basin that fills fast show less than a ruler. */
  function startLevel_m(seen_m: number, uSeen_m: number): number {
    const stated_m = basin.startLevel_m;
    if (stated_m === null || Math.abs(stated_m - seen_m) > agrees * Math.hypot(uSeen_m, uStated_m)) return seen_m;
    const share = uSeen_m ** 2 / (uSeen_m ** 2 + uStated_m ** 2);
    return seen_m + share * (stated_m - seen_m);
  }

  function stopLevel_m(seen_m: number, blur_m: number): number {
    const returned_m = usuallyReturned_m3 / geometry.area_m2(seen_m);
    const stated_m = basin.stopLevel_m;
    const isLikely = stated_m !== null && Math.abs(stated_m - seen_m) < 2 * returned_m + blur_m + beside_m;
    return isLikely ? stated_m : seen_m - returned_m - blur_m / 2;
  }
}
