// Watches for what shows that doubted inflow was none: a leak that has become known, a level sensor found set anew.

import type { AnalyzerState } from "../../analyzer-state.ts";
import type { BasinGeometry } from "../../geometry/basin.ts";
import { closing_m3 } from "../drain-back/drain-back.ts";
import { leaksBetween, seldomReturn_m3 } from "../drain-back/seldom-return.ts";
import { learnedSlowReturn, type SlowReturn } from "../drain-back/slow-return.ts";
import { usualBend_m3s2 } from "../rest/rest-shape.ts";
import { disproveDoubt, disproveLeap, disproveReturned } from "./doubted.ts";
import { leaptByTrips_m3 } from "./leap-by-trips.ts";

/** What readings about few stops show is the least of it. */
const mostSeldom = 1.6;

/** So many stops in a row, the latest of them, tell. */
const enough = 3;

/** What is back within seconds after every stop shows in each rest, but where the valve gave way within one. */
function quickLeak_m3({ recentCycles }: AnalyzerState["tally"], known: boolean): number | null {
  let [seen, leaking, least_m3] = [0, 0, Number.POSITIVE_INFINITY];
  for (const { drainBack_m3 } of recentCycles) {
    if (drainBack_m3 === null) continue;
    if (drainBack_m3 > closing_m3) {
      leaking += 1;
      least_m3 = Math.min(least_m3, drainBack_m3);
    }
    seen += 1;
    if (seen === enough) break;
  }
  // A stop that lets less back does not make what is known new again.
  return leaking >= (known ? 1 : enough) ? least_m3 : null;
}

/** The few rests that taught of a leak show less of how inflow bends by itself than all those before, where there were any. */
function bendBefore_m3s2(usual_m3s2: number, slow: SlowReturn | null): number {
  return slow === null || usual_m3s2 === 0 ? (slow?.bend_m3s2 ?? usual_m3s2) : Math.max(slow.bend_m3s2, usual_m3s2);
}

/** Call before an inflow is handed on. */
export function clearDoubts({ doubted, peaks, tally, tracker }: AnalyzerState, geometry: BasinGeometry): void {
  const slow = tracker.memory.leaks === true ? learnedSlowReturn(tracker.memory.slow) : null;
  const slow_m3 = slow?.volume_m3 ?? null;
  const seldom = slow_m3 === null && leaksBetween(tracker.seldom);
  const leak_m3 = seldom
    ? mostSeldom * seldomReturn_m3(tracker.seldom)
    : (slow_m3 ?? quickLeak_m3(tally, doubted.leakKnown));
  if (leak_m3 !== null && !doubted.leakKnown) {
    const bend_m3s2 = bendBefore_m3s2(usualBend_m3s2(tracker.memory.shape), slow);
    disproveReturned(doubted, peaks, leak_m3, seldom, bend_m3s2);
  }
  doubted.leakKnown = leak_m3 !== null;
  const { drift, stop_m } = tracker.trips;
  const leap_m = drift?.problem === "re-zeroed" ? drift.shift_m : 0;
  if (leap_m > 0 && !doubted.leapKnown)
    disproveLeap(doubted, peaks, geometry.volume_m3(stop_m + leap_m) - geometry.volume_m3(stop_m));
  doubted.leapKnown = leap_m > 0;
  for (const doubt of doubted.doubts) {
    const leapt_m3 = leaptByTrips_m3(doubt, tracker.trips, geometry);
    if (leapt_m3 === null) continue;
    disproveDoubt(doubted, peaks, doubt, leapt_m3);
    break;
  }
}
