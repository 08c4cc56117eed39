// The floats trip at other levels than they used to, all together: the level sensor's zero or its span has drifted, or
// someone has moved it.

import { basinGeometry } from "../geometry/basin.ts";
import type { TripDrift, TripProblem } from "../readings/trip-drift.ts";
import type { Rule, View } from "./rule.ts";

const advice: Record<TripProblem, string> = {
  "zero-drift":
    "The float trips at another level than it used to, at the start and at the stop alike: the level sensor's zero drifts, or the float slips. Measure the water with a rule against the reading and set the zero anew; unplug the pump before you reach in, and plug it in again. Inflow in a straight-walled basin is still right; the distance to high water is not.",
  "span-drift":
    "The float's trips have moved apart or together in the reading, and the pump seems to move as much more or less: the level sensor's span drifts, and inflow and pump rate are off by as much. Unplug the pump before you reach in; clean the sensor, measure the water with a rule at two levels, calibrate it anew, and plug the pump in again.",
  "re-zeroed":
    "The levels at which the float trips have jumped together: the level sensor or its zero was set anew, or sensor or float was moved. If nobody did it, check the sensor's mount and the float's tether. The new levels are learned from now on; see that the levels of the site file still fit.",
};

const grown_m = 0.005;
const grownShare = 0.02;

export const tripDrift: Rule = {
  kind: "sensor-fault",
  severity: "warning",
  onDelay_s: 0,
  offDelay_s: 0,
  notWhileCalm: true,
  onlyInTrouble: true,
  holds: ({ trips }) => trips.drift !== null,
  evidence: (view) => evidenceOf(view, view.trips.drift),
  worsen: (evidence, view) => {
    const { drift } = view.trips;
    if (drift === null) return null;
    const same = drift.problem === evidence.problem;
    const grown =
      Math.abs(drift.shift_m) > Math.abs(Number(evidence.shift_m)) + grown_m ||
      Math.abs(drift.span_share) > Math.abs(Number(evidence.span_share)) + grownShare;
    return same && !grown ? null : evidenceOf(view, drift);
  },
  message: ({ trips }) => advice[trips.drift?.problem ?? "zero-drift"],
};

function evidenceOf({ site, trips }: View, drift: TripDrift | null) {
  return {
    channel: "level",
    problem: drift?.problem ?? null,
    shift_m: drift?.shift_m ?? null,
    span_share: drift?.span_share ?? null,
    since_s: drift?.since_s ?? null,
    // Inflow and pump rate read too high by this share of themselves.
    inflow_error_share: drift === null || Number.isNaN(trips.start_m) ? null : volumeError(site, trips, drift),
  };
}

/** The volume between the trips as it is read now, against what it was; of straight walls a shift of the zero is none. */
function volumeError({ basin }: View["site"], { start_m, stop_m }: View["trips"], drift: TripDrift): number {
  const { volume_m3 } = basinGeometry(basin.geometry);
  const swing_m = start_m - stop_m;
  const grown = drift.problem === "span-drift" ? 1 + drift.span_share : 1;
  const bottom_m = stop_m + drift.shift_m;
  const now_m3 = volume_m3(bottom_m + grown * swing_m) - volume_m3(bottom_m);
  // To a thousandth: of straight walls the rest is rounding.
  return Math.round((now_m3 / (volume_m3(start_m) - volume_m3(stop_m)) - 1) * 1000) / 1000 || 0;
}
