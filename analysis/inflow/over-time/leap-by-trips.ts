// Whether what is in doubt was the sensor's: floats trip at the same water as ever, so that by some cycles before it and since
// both trips have moved in the readings by as much.

import type { BasinGeometry } from "../../geometry/basin.ts";
import { wholeInterval } from "../../readings/trip-drift.ts";
import { type TripLevelsState, type Trips, usualTrips } from "../../readings/trip-levels.ts";
import { medianInPlace } from "../../statistics/median.ts";
import { leapOrWater } from "../poured-in/leap-or-water.ts";

/** So many cycles before and since tell. */
const cyclesAside = 6;
/** The median of so many scatters by so much of what one does, √(π/2n) of normal values. */
const ofMedian = Math.sqrt(Math.PI / (2 * cyclesAside));
/** Floats and sensors that are well wander by less from one half-dozen cycles to the next; judgement, no source. */
const wander_m = 0.001;

interface InDoubt {
  readonly from_s: number;
  readonly to_s: number;
  readonly volume_m3: number;
}

/**
 * By how much a sensor leapt that was set anew while this was in doubt; null where the trips have not moved by about as much,
 * and until six cycles have gone by since, and after.
 */
export function leaptByTrips_m3(
  { from_s, to_s, volume_m3 }: InDoubt,
  trips: TripLevelsState,
  geometry: BasinGeometry,
): number | null {
  const { recent } = trips;
  const first = recent.length - cyclesAside;
  const [last, next] = [recent[first - 1], recent[first]];
  if (last === undefined || next === undefined || last.time_s > from_s || next.time_s < to_s) return null;
  const usual = usualTrips(trips);
  if (usual === null || first < cyclesAside) return null;
  const before = recent.slice(first - cyclesAside, first);
  const since = recent.slice(first);
  // What the water rises until a switch is seen is alike before and since, unless it comes in faster now.
  const rises_m = wholeInterval * Math.abs(medianOf(since, "uSampling_m") - medianOf(before, "uSampling_m"));
  const moved = (trip: "start_m" | "stop_m", scatter_m: number) => {
    const [was_m, is_m] = [medianOf(before, trip), medianOf(since, trip)];
    const u_m = Math.hypot(Math.SQRT2 * ofMedian * scatter_m, wander_m, rises_m);
    const by_m3 = geometry.volume_m3(is_m) - geometry.volume_m3(was_m);
    return leapOrWater(volume_m3, by_m3, u_m * geometry.area_m2(is_m)) === "leap" ? by_m3 : null;
  };
  const start_m3 = moved("start_m", usual.scatterStart_m);
  const stop_m3 = moved("stop_m", usual.scatterStop_m);
  return start_m3 === null || stop_m3 === null ? null : (start_m3 + stop_m3) / 2;
}

function medianOf(cycles: readonly Trips[], what: "start_m" | "stop_m" | "uSampling_m"): number {
  return medianInPlace(cycles.map((trips) => trips[what]));
}
