// What the state of the analysis says of the pump's signal, and of the pump: whether they can be believed.

import type { AnalyzerState } from "../../analyzer-state.ts";
import { isOpen } from "../../findings/finding-book.ts";
import type { BasinGeometry } from "../../geometry/basin.ts";
import { capabilityAt } from "../../pump-flow/pump-capability.ts";
import { onlyFirstRan } from "../tracker-state.ts";
import { isAskedSeldom, mayBeOld } from "./asked-seldom.ts";
import { isDeadInRuns } from "./contact-in-runs.ts";

/** The pump's signal, or with two pumps that of either, does not follow the pump. */
export function signalDead(state: AnalyzerState): boolean {
  return firstDead(state) || secondDead(state);
}

export function firstDead({ runSignal, contact, inRuns }: AnalyzerState): boolean {
  return runSignal.origin !== null && (contact.lies || isDeadInRuns(inRuns));
}

export function secondDead({ inRunsOfSecond }: AnalyzerState): boolean {
  return isDeadInRuns(inRunsOfSecond);
}

/** The level speaks against the pump's signal: what the signal alone says of how long the pump ran is not known. */
export function signalDoubted({ inRuns, inRunsOfSecond }: AnalyzerState): boolean {
  return inRuns.against > 0 || inRunsOfSecond.against > 0;
}

/**
 * By how much the pump may have lowered the water in that time: not at all where a contact says that it rests; Infinity where
 * it may run and nothing is known of what it moves.
 */
export function pumpedAtMost_m(
  state: AnalyzerState,
  geometry: BasinGeometry,
  resting: boolean,
  level_m: number,
  time_s: number,
): number {
  if (!noSignal(state)) return resting ? 0 : Number.POSITIVE_INFINITY;
  const rate = onlyFirstRan(state.tracker) ? capabilityAt(state.tracker.capability, null) : null;
  return rate === null ? Number.POSITIVE_INFINITY : (rate.flow_m3s * time_s) / geometry.area_m2(level_m);
}

/** The pump is known not to move what it should. */
export function isBlocked({ book }: AnalyzerState): boolean {
  return isOpen(book, "discharge-blocked");
}

/** Nothing but the level tells what the pump does, reading by reading. */
export function noSignal(state: AnalyzerState): boolean {
  return state.runSignal.origin === null || signalDead(state) || isOldNews(state);
}

/** The signal is asked more seldom than the level, which tells what the pump does in between. */
export function isOldNews({ hasLevel, levelOut, signalRows, screen }: AnalyzerState): boolean {
  return hasLevel && !levelOut.out && isAskedSeldom(signalRows, screen.interval_s);
}

/** What the signal says holds at its rows alone, for all that is known of it. */
export function saidAtRowsOnly({ hasLevel, signalRows, screen }: AnalyzerState): boolean {
  return hasLevel && mayBeOld(signalRows, screen.interval_s);
}

/**
 * From one reading to the next that tells of the runs, median and nearly all: while the level is out those of a signal that is
 * asked more seldom, for the rows between them say nothing.
 */
export function toldEvery(state: AnalyzerState): { readonly typical_s: number; readonly long_s: number } {
  const { levelOut, signalRows, cadence } = state;
  return levelOut.out && saidAtRowsOnly(state) ? { typical_s: signalRows.every_s, long_s: signalRows.long_s } : cadence;
}

/** What is said beside a level that shows the runs is the float's. */
export function toldByFloatBeside({ view, runSignal }: AnalyzerState): boolean {
  return view === "level" && (runSignal.origin === null || runSignal.origin === "floatOn");
}

/** So is its float, where runs are read off the level: whether it was asked in one is told by when that began and ended. */
export function floatAskedSeldom({ floatRows, screen }: AnalyzerState): boolean {
  return mayBeOld(floatRows, screen.interval_s);
}
