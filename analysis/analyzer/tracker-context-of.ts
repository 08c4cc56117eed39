// What the cycle tracker is told from outside, out of the state of the analysis.

import type { AnalyzerState } from "../analyzer-state.ts";
import { noSignal, signalDead, toldByFloatBeside, toldEvery } from "../cycles/by-signal/signal-and-pump.ts";
import { hasExactEdges } from "../cycles/cadence.ts";
import { stopsLateBy_s } from "../cycles/cycle-tracker.ts";
import { floatBobs } from "../cycles/float-bobs.ts";
import type { TrackerContext } from "../cycles/tracker-context.ts";
import { twoFloats } from "../cycles/two-pumps/called-by.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { pathVolume_m3 } from "../hydraulics/discharge-path.ts";
import { areEven } from "../inflow/active-volume.ts";
import { byShare } from "../inflow/seldom-readings/run-share-state.ts";
import { levelProblem } from "../readings/level-problem.ts";
import { noiseOf_m } from "../readings/roughness.ts";
import { takeTurns } from "../report/pump-tally.ts";
import type { Site } from "../site.ts";

/** How well a log of events knows its edges, unless it is finer than that or it is stated; common practice, no source. */
const eventEdge_s = 1;

/** Asked of the state at the moment of use, so that a resumed analysis sees what one that never stopped sees. */
export function trackerContext(
  site: Site,
  geometry: BasinGeometry,
  state: AnalyzerState,
  output: TrackerContext["output"],
): TrackerContext {
  // Of runs that are read off the level it tells nothing.
  const tellsExactly = () => state.view === "signal" && hasExactEdges(state.cadence);
  return {
    basin: site.basin,
    geometry,
    measurement: site.measurement ?? null,
    pipeHolds_m3: site.discharge === null ? null : pathVolume_m3(site.discharge),
    get interval_s() {
      const { typical_s } = toldEvery(state);
      if (!tellsExactly()) return typical_s;
      return Math.min(site.measurement?.uEdge_s == null ? eventEdge_s : 0, typical_s);
    },
    get exactEdges() {
      return tellsExactly();
    },
    get hidden_s() {
      if (state.view !== "signal") return 0;
      return Math.max(state.steady.hidden_s, stopsLateBy_s(state.tracker, state.cadence.typical_s));
    },
    upperStart_m: site.pumps?.[1].startLevel_m ?? null,
    floats: twoFloats(site),
    get takesTurns() {
      // One that has been dead for long has few of the starts.
      return state.tracker.calls.takeTurns || (state.tally.pumps !== null && takeTurns(state.tally.pumps));
    },
    get unheardStart_m() {
      const heard = state.tracker.pumps.origin !== null && !signalDead(state);
      return heard ? null : (site.pumps?.[1].startLevel_m ?? null);
    },
    get inferred() {
      return state.view === "level";
    },
    get signalRests() {
      return state.runSignal.on === false && !noSignal(state);
    },
    get typicalRun_s() {
      return state.tracker.typicalRun_s;
    },
    get hasLevel() {
      if (!state.hasLevel || (state.levelOut.out && state.runSignal.origin === "floatOn")) return false;
      return levelProblem(state.screen, state.tally.end_s ?? 0) === null;
    },
    get longInterval_s() {
      return toldEvery(state).long_s;
    },
    get signalRun_s() {
      return state.tally.signalRun_s;
    },
    get byShare() {
      return byShare(state.share);
    },
    get resolution_m() {
      return state.screen.resolution_m;
    },
    get levelNoise_m() {
      return noiseOf_m(state.levelRuns.roughness_m);
    },
    get equalShare() {
      return state.screen.equalShare;
    },
    get keptDown() {
      return state.view === "level" && state.keptDown.inThisRest;
    },
    get levelStood() {
      return state.view === "signal" && state.screen.still.stoodThroughRun;
    },
    get runsEvenly() {
      return areEven(state.tally.recentCycles, state.cadence.typical_s);
    },
    floatBobs: (from_s, to_s) => (toldByFloatBeside(state) ? floatBobs(state.levelOut, from_s, to_s) : 0),
    get levelTosses() {
      return levelProblem(state.screen, state.tally.end_s ?? 0) === "implausible";
    },
    output,
  };
}
