// Where no level shows the water, what draws on the motor's line is taken for the motor until that has shown itself: then
// what was counted and learned of runs was of something else.

import { type AnalyzerState, newState } from "../analyzer-state.ts";

/** Forgets all that came of runs, as if the recording began now; what is told of its rows, gaps and findings stays. */
export function takeBack(state: AnalyzerState): void {
  const fresh = newState();
  const { rows, late, start_s, end_s, gaps, gapsLeftOut, endedFindings, findingsLeftOut } = state.tally;
  const told = { rows, late, start_s, end_s, gaps, gapsLeftOut, endedFindings, findingsLeftOut };
  renew(state.tally, fresh.tally, { ...told, pumpSeen: true });
  const { pumps, load, capability, second } = state.tracker;
  renew(state.tracker, fresh.tracker, { pumps, load });
  state.tracker.capability.expected = capability.expected;
  state.tracker.second.capability.expected = second.capability.expected;
  for (const key of ["peaks", "doubted", "share", "briefRuns", "flatOut", "mostRun"] as const)
    renew(state[key], fresh[key]);
  delete state.bursts;
  Object.assign(state, { restCourse: null, startedLow: false, roseBeforeStart: false, bestInRun_m3s: null });
}

/** What is absent at first must not stay either. */
function renew<Old extends object>(old: Old, fresh: Old, kept: Partial<Old> = {}): void {
  for (const key of Object.keys(old) as (keyof Old)[]) if (!(key in fresh)) delete old[key];
  Object.assign(old, fresh, kept);
}
