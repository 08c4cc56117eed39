// The report's `floats`: the levels at which the pump has been seen to start and stop, against those that the site file
// states, and what to check where they differ.

import { scatterOfTrips_m, type TripLevelsState, usualTrips } from "../readings/trip-levels.ts";
import type { Site } from "../site.ts";
import type { ReportFloatTrips } from "./report.ts";

/** A level measured with a rule, written down rounded, and a float's own play make less; common practice, no source. */
const differsBy_m = 0.015;
const scatters = 4;

/** @returns null before the trips are learned, and while the sensor is known to have drifted against them */
export function floatTripsReport({ basin }: Site, trips: TripLevelsState): ReportFloatTrips | null {
  const usual = usualTrips(trips);
  if (usual === null || trips.drift !== null) return null;
  const startsOff_m = basin.startLevel_m === null ? null : usual.start_m - basin.startLevel_m;
  const stopsOff_m = basin.stopLevel_m === null ? null : usual.stop_m - basin.stopLevel_m;
  const least_m = Math.max(differsBy_m, scatters * (scatterOfTrips_m(trips) ?? 0));
  const [start, stop] = [Math.abs(startsOff_m ?? 0) > least_m, Math.abs(stopsOff_m ?? 0) > least_m];
  return {
    start_level_mm: millimetres(usual.start_m),
    stop_level_mm: millimetres(usual.stop_m),
    start_off_mm: startsOff_m === null ? null : millimetres(startsOff_m),
    stop_off_mm: stopsOff_m === null ? null : millimetres(stopsOff_m),
    message: start || stop ? words(start, stop) : null,
  };
}

function words(start: boolean, stop: boolean): string {
  const does = start && stop ? "starts and stops at other levels" : `${start ? "starts" : "stops"} at another level`;
  return `The pump ${does} than the site file says. Measure the water with a rule when it ${start ? "starts" : "stops"}: if the rule agrees with the sensor, correct the levels of the site file; if it agrees with the site file, set the sensor's zero. Until then what goes by the stated levels (the volume between the floats, high water, a pump that does not start or stop) is off by as much.`;
}

/** To a tenth: no sensor knows a trip better. */
function millimetres(level_m: number): number {
  return Math.round(level_m * 1e4) / 10;
}
