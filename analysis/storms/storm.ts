// A storm as the inflow shows it, and the rain that belongs to it: the plain data that find-storms.ts gives.

import type { Peak } from "../inflow/over-time/rolling-peaks.ts";
import type { Recession } from "./recession.ts";
import type { RiseEnd } from "./rises.ts";

export interface StormRain {
  readonly from_s: number;
  readonly to_s: number;
  readonly depth_m: number;
  /** Greatest depth in an hour. */
  readonly wettestHour_m: number;
  /** Middle of mass of the rain. */
  readonly centroid_s: number;
  /** From the rain's middle of mass to that of the inflow above base, and to the peak over 600 s. */
  readonly lagOfCentroid_s: number;
  readonly lagOfPeak_s: number | null;
  /** Inflow above base over depth of rain: the roof, yard and ground that seem to drain here, m². */
  readonly catchment_m2: number;
}

export interface Storm {
  /** The last moment before the rise, and the return to the base or what cut the storm short. */
  readonly from_s: number;
  readonly to_s: number;
  readonly ended: RiseEnd;
  /** Time within it that nothing was measured. */
  readonly unseen_s: number;
  /** From the beginning to the highest flow. */
  readonly rise_s: number;
  /** Highest means over a minute, ten minutes and an hour, whole flow; null where no such stretch was seen, the least where not all of it was. */
  readonly peaks: { readonly 60: Peak | null; readonly 600: Peak | null; readonly 3600: Peak | null };
  /** What would have come in without this rain, at its beginning. */
  readonly base_m3s: number;
  /** The same without what was left of the storms before. */
  readonly calm_m3s: number;
  /** Highest mean over 600 s above the base; where no ten minutes were seen, of the search's smoothed course. */
  readonly peakAboveBase_m3s: number;
  /** Above the base, from beginning to end; of a storm that was cut short, with the tail that its recession would have. */
  readonly volume_m3: number;
  readonly uVolume_m3: number;
  /** Share of the volume that was not seen but follows from the recession. */
  readonly tailShare: number;
  readonly recession: Recession | null;
  /** Null when the rain is not known. */
  readonly rain: StormRain | null;
}

/** The highest ten minutes, if all that may have been the highest was seen. */
export function surePeak({ peaks }: Pick<Storm, "peaks">): Peak | null {
  const peak = peaks[600];
  return peak === null || peak.isLeast === true ? null : peak;
}
