// A row that carries the pump's signal: by when such rows come, and by which of them it changes, what it said before is told
// to hold until it changes, or to be old news.

import type { AnalyzerState } from "../analyzer-state.ts";
import { noteLevelWithout, noteSignalRow } from "../cycles/by-signal/asked-seldom.ts";
import { carriesSignal } from "../cycles/by-signal/run-signal.ts";
import { floatAskedSeldom, isOldNews, saidAtRowsOnly } from "../cycles/by-signal/signal-and-pump.ts";
import type { WhichChanged } from "../cycles/by-signal/watched-signal.ts";
import { noteSignal } from "../cycles/cadence.ts";
import { comeByTheClock } from "../readings/levels-by-change.ts";
import type { Reading } from "../readings/reading.ts";

/** At each reading, as far as is known. */
export function floatIsAsked(state: AnalyzerState): boolean {
  return !floatAskedSeldom(state);
}

function noteFloatRows({ floatRows, floatOn }: AnalyzerState, reading: Reading): void {
  if (reading.floatOn !== null) noteSignalRow(floatRows, reading.time_s, reading.floatOn !== floatOn);
  else if (reading.level_m !== null && floatOn !== null) noteLevelWithout(floatRows);
}

/** Takes a reading, `since_s` after the one before. Returns whether what the signal says holds now. */
export function noteSignalRows(
  state: AnalyzerState,
  reading: Reading,
  changed: WhichChanged,
  since_s: number,
): boolean {
  if (state.view === "level") noteFloatRows(state, reading);
  if (!carriesSignal(state.runSignal, reading)) {
    if (reading.level_m !== null && state.runSignal.origin !== null) noteLevelWithout(state.signalRows);
    return !saidAtRowsOnly(state);
  }
  // While the level is out none can come between them.
  if (state.levelOut.out && state.signalRows.watched) noteLevelWithout(state.signalRows);
  noteSignalRow(state.signalRows, reading.time_s, changed.first);
  // What stands in for a level that is out has no part in how rows usually come.
  if (state.levelOut.out) return true;
  const speaks = (changed.first || changed.second) && !isOldNews(state);
  noteSignal(state.cadence, speaks, reading.level_m !== null, since_s, comeByTheClock(state.screen));
  return true;
}
