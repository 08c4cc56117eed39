// What the state of the analysis says of the pump's signal, and of the pump: whether they can be believed.

import type { AnalyzerState } from "./analyzer-state.ts";
import { openFindings } from "./findings/finding-book.ts";

/** So many falls of the level, each as deep as a run, while the signal stood still. */
const deadAfterRuns = 3;

/** The pump's signal does not follow the pump. */
export function signalDead({ runSignal, shadowRuns, contact }: AnalyzerState): boolean {
  return runSignal.origin !== null && (shadowRuns >= deadAfterRuns || contact.lies);
}

/** The pump is known not to move what it should. */
export function isBlocked({ book }: AnalyzerState): boolean {
  return openFindings(book).some(({ kind }) => kind === "discharge-blocked");
}

/** Nothing but the level tells what the pump does. */
export function noSignal(state: AnalyzerState): boolean {
  return state.runSignal.origin === null || signalDead(state);
}
