// Whether runs are told by the pump's signal or read off the level.

import type { AnalyzerState } from "../analyzer-state.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { roughly } from "../pump-flow/pump-capability.ts";
import { hidesAtOnce_s } from "../readings/closely-read.ts";
import { usualTrips } from "../readings/trip-levels.ts";
import type { BasinSite } from "../site.ts";
import { pumpedPace } from "./by-level/falling-level.ts";
import { missesBriefRuns, timesRuns } from "./by-signal/brief-runs.ts";
import { noSignal } from "./by-signal/signal-and-pump.ts";
import { hasExactEdges, isRegular } from "./cadence.ts";

/** A contact that is asked less often than this misses whole runs, unless the pump takes long; one asked more often, those that are briefer still. */
const missesRuns_s = 12;
/** Readings for which the other view must have been the better one: few at the beginning, many once it is settled. */
const settledIn = 50;
const hasty = 8;
export const patient = 200;

/**
 * Readings so far apart that whole runs fall between them: the level shows those, a sampled contact does not. The view is
 * another one only when that has been the better one for a while, or the level is out. Asked once at each reading.
 */
export function betterView(state: AnalyzerState, basin: BasinSite, geometry: BasinGeometry): AnalyzerState["view"] {
  const { cadence } = state;
  const unsignalled = noSignal(state);
  const { out } = state.levelOut;
  const coarse =
    state.hasLevel &&
    !out &&
    (cadence.typical_s > missesRuns_s
      ? !timesRuns(state.briefRuns, state.view === "signal") || emptiesBetween(state, basin, geometry)
      : cadence.typical_s >= hidesAtOnce_s && missesBriefRuns(state.briefRuns, state.view === "level")) &&
    isRegular(cadence) &&
    !hasExactEdges(cadence);
  const better = unsignalled || coarse ? "level" : "signal";
  state.otherViewBetter = better === state.view ? 0 : state.otherViewBetter + 1;
  const closer = better === "signal" && cadence.typical_s <= missesRuns_s;
  const patience =
    unsignalled || out || state.tally.rows < 2 ? 1 : cadence.seen < settledIn || closer ? hasty : patient;
  return state.otherViewBetter < patience ? state.view : better;
}

/** Three readings see no run of a pump that empties the basin, with nothing coming in, in less than such a part of the time between two. */
const atOnce = 2 / 3;

/** The pump is known to be so quick that what looks like a long run keeps step with the readings: parts of many. */
function emptiesBetween(
  { tracker, cadence, levelRuns }: AnalyzerState,
  { startLevel_m, stopLevel_m }: BasinSite,
  { volume_m3, area_m2 }: BasinGeometry,
): boolean {
  const trips = usualTrips(tracker.trips);
  const [start_m, stop_m] = [startLevel_m ?? trips?.start_m, stopLevel_m ?? trips?.stop_m];
  if (start_m === undefined || stop_m === undefined) return false;
  const middle_m = (start_m + stop_m) / 2;
  const pace = pumpedPace(levelRuns.fall, cadence.typical_s);
  const moves_m3s =
    roughly(tracker.capability, middle_m)?.flow_m3s ?? (pace === null ? Number.NaN : pace.pace_ms * area_m2(middle_m));
  return volume_m3(start_m) - volume_m3(stop_m) < atOnce * cadence.typical_s * moves_m3s;
}
