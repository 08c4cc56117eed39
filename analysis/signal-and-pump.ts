// What the state of the analysis says of the pump's signal, and of the pump: whether they can be believed.

import type { AnalyzerState } from "./analyzer-state.ts";
import { onlyFirstRan } from "./cycles/tracker-state.ts";
import { isOpen } from "./findings/finding-book.ts";
import type { BasinGeometry } from "./geometry/basin.ts";
import { capabilityAt } from "./inflow/pump-capability.ts";

/**
 * So many falls of the level, each as deep as a run, while the signal stood still; and where a run is hardly longer than the
 * time between two readings, of which a contact misses one now and then.
 */
export const deadAfterRuns = 3;
export const deadAfterBriefRuns = 40;
const surelySeen = 1.3;

/** The pump's signal does not follow the pump. */
export function signalDead(state: AnalyzerState): boolean {
  const { runSignal, shadowRuns, contact } = state;
  if (runSignal.origin === null) return false;
  return contact.lies || (shadowRuns >= deadAfterRuns && shadowRuns >= runsToMiss(state));
}

function runsToMiss({ cadence, tracker }: AnalyzerState): number {
  return tracker.typicalRun_s < surelySeen * cadence.long_s ? deadAfterBriefRuns : deadAfterRuns;
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

/** Nothing but the level tells what the pump does. */
export function noSignal(state: AnalyzerState): boolean {
  return state.runSignal.origin === null || signalDead(state);
}
