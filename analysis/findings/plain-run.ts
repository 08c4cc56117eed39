// A run that has just begun as any: what its readings tell is noted, and no rule need be asked.

import type { AnalyzerState } from "../analyzer-state.ts";
import { noSignal } from "../cycles/by-signal/signal-and-pump.ts";
import { levelNoise_m, levelProblem } from "../readings/level-problem.ts";
import type { Site } from "../site.ts";
import { leaveStop, mostWithin_m } from "./at-stop.ts";
import { nearlyAll, runWithoutFall_s } from "./discharge-blocked.ts";
import type { View } from "./rule.ts";
import type { RunWatch } from "./run-watch.ts";
import { lowestStop_m } from "./two-pumps.ts";

/** So near the rim water may be going over it. */
export const rim_m = 0.005;
/** From then on rules look at how the level goes over a minute of a run, however well it began. */
const minute_s = 60;

/**
 * @param view what was true at the latest look, since which nothing new has become known
 * @returns whether the newest reading is one of the first of a plain run. It is asked where all but the level is well
 */
export function watchPlainRuns(site: Site, state: AnalyzerState, view: View, run: RunWatch) {
  const { over_m, under_m } = silentLevels(site);

  function isYoung(time_s: number): boolean {
    const { pumpSince_s, bestInRun_m3s } = state;
    if (state.pumpRunning !== true || pumpSince_s === null) return false;
    // A run that moves little shows later, unless it has moved what the pump does.
    const beganWell = (bestInRun_m3s ?? 0) > nearlyAll * (view.pumpRate?.flow_m3s ?? Number.POSITIVE_INFINITY);
    return time_s - pumpSince_s < (beganWell ? minute_s : runWithoutFall_s);
  }

  return (time_s: number, level_m: number | null): boolean => {
    const { screen, tracker, mostRun, flatOut } = state;
    if (!isYoung(time_s) || level_m === null || !(level_m > over_m && level_m < under_m)) return false;
    if (state.tally.pumps !== null || noSignal(state) || tracker.trips.drift !== null || screen.standing) return false;
    if (state.steady.flickeredAt_s === time_s || levelProblem(screen, time_s) !== null) return false;
    const { most } = mostRun;
    const { least_m3s } = flatOut;
    view.time_s = time_s;
    view.pumpRunning = true;
    view.pumpStateFor_s = time_s - (state.pumpSince_s ?? time_s);
    view.level_m = level_m;
    view.levelNoise_m = levelNoise_m(screen);
    view.dischargeNow_m3s = null;
    run.noteRun(time_s, level_m);
    run.noteLongRun(time_s);
    run.noteBusy(time_s);
    // The bounds of the peak say how large the pump must be.
    if (mostRun.most !== most || flatOut.least_m3s !== least_m3s) return false;
    leaveStop(state.atStop, time_s, true, level_m - (view.stopsAt_m ?? Number.NEGATIVE_INFINITY), view.levelNoise_m);
    state.lookedAt_s = time_s;
    return true;
  };
}

/** Between these the level itself tells a rule nothing while a run is young. */
function silentLevels(site: Site): { readonly over_m: number; readonly under_m: number } {
  const { highLevel_m, overflowLevel_m } = site.basin;
  return {
    over_m: (lowestStop_m(site) ?? Number.NEGATIVE_INFINITY) + mostWithin_m,
    under_m: Math.min(highLevel_m ?? Number.POSITIVE_INFINITY, (overflowLevel_m ?? Number.POSITIVE_INFINITY) - rim_m),
  };
}
