// Watches for what shows that doubted inflow was none: a leak that has become known, a level sensor found set anew.

import type { AnalyzerState } from "./analyzer-state.ts";
import type { BasinGeometry } from "./geometry/basin.ts";
import { disprove } from "./inflow/doubted.ts";
import { leaksBetween, seldomReturn_m3 } from "./inflow/seldom-return.ts";
import { learnedSlowReturn } from "./inflow/slow-return.ts";

/** What readings about few stops show is the least of it. */
const mostSeldom = 1.6;

/** Call before an inflow is handed on. */
export function clearDoubts({ doubted, peaks, tracker }: AnalyzerState, geometry: BasinGeometry): void {
  const slow_m3 = learnedSlowReturn(tracker.memory.slow)?.volume_m3 ?? null;
  const seldom = slow_m3 === null && leaksBetween(tracker.seldom);
  const leak_m3 = seldom ? mostSeldom * seldomReturn_m3(tracker.seldom) : slow_m3;
  if (leak_m3 !== null && !doubted.leakKnown) disprove(doubted, peaks, "returned", leak_m3, seldom);
  doubted.leakKnown = leak_m3 !== null;
  const { drift, stop_m } = tracker.trips;
  const leap_m = drift?.problem === "re-zeroed" ? drift.shift_m : 0;
  if (leap_m > 0 && !doubted.leapKnown) {
    disprove(doubted, peaks, "leapt", geometry.volume_m3(stop_m + leap_m) - geometry.volume_m3(stop_m));
  }
  doubted.leapKnown = leap_m > 0;
}
