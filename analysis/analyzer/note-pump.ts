// The pump starts or stops, or is lost from sight: what is kept of the run or the rest under way begins anew. And a
// motor's load that is on its way to that.

import type { AnalyzerState } from "../analyzer-state.ts";
import { isOnItsWayOver } from "../cycles/by-signal/load-turn.ts";
import { isOldNews, signalDead } from "../cycles/by-signal/signal-and-pump.ts";
import { ranLonger_s } from "../cycles/by-signal/steady-signal.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import { earlierCourse, restartTrend } from "../readings/trend.ts";
import { noteRunning } from "../report/tally.ts";

export function notePump(state: AnalyzerState, running: boolean | null, time_s: number): void {
  state.tally.pumpSeen ||= running === true || (running === false && noRunGoesUnseen(state));
  if (running === state.pumpRunning) return;
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

/** Until one has been seen: by a contact alone that is asked seldom each may have gone by between two readings. */
function noRunGoesUnseen({ hasLevel, cadence }: AnalyzerState): boolean {
  return hasLevel || cadence.long_s <= closelyRead_s;
}

/**
 * What the pump does by the newest that is known: a signal that is asked seldom at its own rows, and what the level shows to
 * have turned since.
 */
export function byNewest(state: AnalyzerState, says: boolean, on: boolean | null): boolean | null {
  const { levelRuns, signalRows } = state;
  const { running } = levelRuns;
  const turned = running !== signalRows.byLevel;
  signalRows.byLevel = running;
  if (!isOldNews(state) || signalDead(state)) return running;
  if (says) return on;
  return turned ? running : state.pumpRunning;
}

/** Takes what the signals said at the reading before this one, of which the pump has run or rested since. */
export function noteRan(state: AnalyzerState, before: boolean | null, time_s: number, since_s: number): void {
  noteRunning(state.tally, before, since_s, state.view === "level");
  const longer_s = ranLonger_s(state.steady, time_s, state.runSignal.on);
  if (longer_s !== 0) noteRunning(state.tally, true, longer_s);
}

/** The one pump's load is on its way from running to standing, or back: a slow meter shows a switch late. */
export function isTurning({ runSignal, tracker }: AnalyzerState): boolean {
  const turn = runSignal.load?.turn;
  return turn !== undefined && tracker.pumps.origin === null && isOnItsWayOver(turn);
}
