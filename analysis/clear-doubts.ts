// Watches for what shows that doubted inflow was none: a leak that has become known, a level sensor found set anew.

import type { AnalyzerState } from "./analyzer-state.ts";
import type { BasinGeometry } from "./geometry/basin.ts";
import { disprove } from "./inflow/doubted.ts";
import { learnedSlowReturn } from "./inflow/slow-return.ts";

/** Call before an inflow is handed on. */
export function clearDoubts({ doubted, peaks, tracker }: AnalyzerState, geometry: BasinGeometry): void {
  const leak = learnedSlowReturn(tracker.memory.slow);
  if (leak !== null && !doubted.leakKnown) disprove(doubted, peaks, "returned", leak.volume_m3);
  doubted.leakKnown = leak !== null;
  const { drift, stop_m } = tracker.trips;
  const leap_m = drift?.problem === "re-zeroed" ? drift.shift_m : 0;
  if (leap_m > 0 && !doubted.leapKnown) {
    disprove(doubted, peaks, "leapt", geometry.volume_m3(stop_m + leap_m) - geometry.volume_m3(stop_m));
  }
  doubted.leapKnown = leap_m > 0;
}
