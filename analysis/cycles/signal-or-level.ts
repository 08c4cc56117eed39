// Whether runs are told by the pump's signal or read off the level.

import type { AnalyzerState } from "../analyzer-state.ts";
import { hidesAtOnce_s } from "../readings/closely-read.ts";
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
export function betterView(state: AnalyzerState): AnalyzerState["view"] {
  const { cadence } = state;
  const unsignalled = noSignal(state);
  const { out } = state.levelOut;
  const coarse =
    state.hasLevel &&
    !out &&
    (cadence.typical_s > missesRuns_s
      ? !timesRuns(state.briefRuns, state.view === "signal")
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
