// Where float or contact take over from a level that is out, and where the level tells again: the rest or run under way goes
// on over the seam, so that none is lost, told twice or parted.

import type { AnalyzerState } from "../analyzer-state.ts";
import { steadyLevel_m } from "../readings/level-problem.ts";
import { newestLevel_s, settleLevelRuns } from "./by-level/level-runs.ts";
import { setExtreme } from "./by-level/level-runs-state.ts";
import { feedSignal, newSteadySignal, type SteadySignalOutput } from "./by-signal/steady-signal.ts";
import { saidSince } from "./level-out.ts";
import { forgetAfter } from "./samples.ts";
import { forgetOldest, waitingLevel_m, waitingTime_s } from "./waiting-samples.ts";

/**
 * Goes once more through what float or contact has said since the rest or run under way began, which the level showed last;
 * from then on they tell.
 *
 * @returns whether the two go together; else nothing is done
 */
export function takeOver(state: AnalyzerState, edges: SteadySignalOutput): boolean {
  const { tracker, levelRuns, levelOut } = state;
  const { phase, phaseFrom_s, samples, pumps } = tracker;
  const from_s = phaseFrom_s ?? samples.origin_s;
  // Which of two pumps ran is said to others, too.
  if (phase === "unknown" || Number.isNaN(from_s) || pumps.origin !== null) return false;
  const ran = phase === "run";
  const said = saidSince(levelOut, from_s, ran);
  if (said === null) return false;
  forgetAfter(samples, levelOut.told_s);
  Object.assign(state.steady, newSteadySignal(), { on: ran });
  state.view = "signal";
  const { waiting } = levelRuns;
  let now = ran;
  let next = 0;
  const say = (upTo_s: number) => {
    for (let one = said[next]; one !== undefined && one.time_s <= upTo_s; one = said[next]) {
      now = one.on;
      next += 1;
      feedSignal(state.steady, one.time_s, now, null, edges);
    }
  };
  for (let i = 0; i < waiting.count; i += 1) {
    const at_s = waitingTime_s(waiting, i);
    if (at_s > levelOut.told_s) break;
    say(at_s);
    feedSignal(state.steady, at_s, now, waitingLevel_m(waiting, i), edges);
  }
  say(Number.POSITIVE_INFINITY);
  forgetOldest(waiting, waiting.count);
  settleLevelRuns(levelRuns, edges);
  return true;
}

/** In a rest the level goes on to tell of it, and of the next run. Returns whether it is one; else nothing is done. */
export function giveBack(state: AnalyzerState, time_s: number): boolean {
  const { tracker, steady, levelRuns, screen } = state;
  const level_m = steadyLevel_m(screen);
  if (tracker.phase !== "rest" || steady.on !== false || steady.changing !== null || level_m === null) return false;
  if (tracker.pumps.origin !== null || !Number.isNaN(newestLevel_s(levelRuns))) return false;
  levelRuns.running = false;
  setExtreme(levelRuns, time_s, level_m);
  Object.assign(steady, newSteadySignal());
  state.view = "level";
  return true;
}
