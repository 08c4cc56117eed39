// The pump starts or stops, or is lost from sight: what is kept of the run or the rest under way begins anew.

import type { AnalyzerState } from "../analyzer-state.ts";
import { earlierCourse, restartTrend } from "../readings/trend.ts";

export function notePump(state: AnalyzerState, running: boolean | null, time_s: number): void {
  if (running === state.pumpRunning) return;
  state.tally.pumpSeen = true;
  state.pumpRunning = running;
  state.pumpSince_s = time_s;
  if (running === true) state.keptDown.inThisRest = false;
  state.restCourse = running === true ? earlierCourse(state.trend) : null;
  // How a run began is still of interest in the rest after it.
  if (running !== false) {
    state.startedLow = false;
    state.roseBeforeStart = false;
    state.bestInRun_m3s = null;
  }
  restartTrend(state.trend);
}
