// Water that pours in while hardly a reading shows it, where readings are far apart: just after the stop or just before the
// start, a curve through the rest takes the one or two that do for spikes. How much came in all is known from where the
// float trips.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import type { RestFit } from "../rest/fit-rest.ts";
import { type Pour, poursIn, withPour } from "./poured-in.ts";

/** Stored volumes at which the pump usually stops and starts. */
export interface UsualRest {
  readonly from_m3: number;
  readonly to_m3: number;
  /** Standard uncertainty of either, once: its scatter, and what rises until it is seen. */
  readonly uTrip_m3: number;
}

/** Readings closer together show a pour by themselves; common practice, no source. */
const farApart_s = 10;
/** Uncertainties of a trip, and share of what lies between the trips, by which a curve's end must miss it. */
const clearly = 3;
const shareOfRest = 0.1;
/** The readings themselves must show so much of what is missing: where a float was lifted by hand they show none. */
const shareSeen = 0.15;

/**
 * The fit with what its curve misses between the trips spread over the rest.
 *
 * @param samples  those that were fitted, in m³ against seconds since the stop
 * @param uEdges_s standard uncertainty of the rest's length
 * @returns null where the curve reaches from trip to trip, or the readings show nothing else
 */
export function betweenTrips(
  fit: RestFit,
  samples: CurveSamples,
  duration_s: number,
  { from_m3: stop_m3, to_m3, uTrip_m3 }: UsualRest,
  uEdges_s: number,
): RestFit | null {
  const { startVolume_m3, endVolume_m3, drainBack } = fit;
  const { t, y, count } = samples;
  if (startVolume_m3 === null || endVolume_m3 === null) return null;
  if (!(duration_s >= farApart_s * count)) return null;
  // What is told to run back is in the curve's beginning as if it had been there at once.
  const from_m3 = stop_m3 + (drainBack?.volume_m3 ?? 0);
  const clear_m3 = Math.max(clearly * uTrip_m3, shareOfRest * (to_m3 - stop_m3));
  const start_m3 = startVolume_m3 - from_m3 > clear_m3 ? from_m3 : startVolume_m3;
  const end_m3 = to_m3 - endVolume_m3 > clear_m3 ? to_m3 : endVolume_m3;
  const byCurve_m3 = endVolume_m3 - startVolume_m3;
  const missing_m3 = end_m3 - start_m3 - byCurve_m3;
  if (!(missing_m3 > 0)) return null;
  const seen_m3 = (y[count - 1] ?? 0) - (y[0] ?? 0);
  const curveOver_m3 = (byCurve_m3 * ((t[count - 1] ?? 0) - (t[0] ?? 0))) / duration_s;
  if (!(seen_m3 - curveOver_m3 > shareSeen * missing_m3)) return null;
  const uLength_m3 = ((end_m3 - start_m3) * uEdges_s) / duration_s;
  const uVolume_m3 = Math.hypot(Math.SQRT2 * uTrip_m3, uLength_m3);
  const pour: Pour = { from_s: 0, to_s: duration_s, volume_m3: missing_m3, uVolume_m3 };
  const back: Pour = { ...pour, volume_m3: startVolume_m3 - start_m3 };
  return {
    ...withPour(fit, pour),
    startVolume_m3: start_m3,
    endVolume_m3: end_m3,
    ...(back.volume_m3 > 0 && { returnedParts: (parts) => poursIn(fit, back, parts) }),
  };
}
