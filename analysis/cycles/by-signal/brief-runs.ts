// Whether the pump's runs are so brief that a contact asked at each reading misses some: most are seen by one reading alone.

export interface BriefRunsState {
  /** Readings that have said 'runs' in the run under way. */
  readings: number;
  /** How many runs were seen, and about the share of the latest that a single reading saw. */
  runs: number;
  share: number;
}

export function newBriefRuns(): BriefRunsState {
  return { readings: 0, runs: 0, share: 0 };
}

/** So many runs are remembered; of fewer than that many nothing is said. */
const latest = 12;
const fewest = 5;
/** Two longer ones soon after each other are a storm's, which a contact tells best. */
const lessByALonger = 0.6;

/** Takes what the signal says at a reading. */
export function noteBriefRuns(state: BriefRunsState, on: boolean | null): void {
  if (on === true) {
    state.readings += 1;
    return;
  }
  if (state.readings === 0) return;
  state.runs += 1;
  if (state.readings === 1) state.share += (1 - state.share) / Math.min(latest, state.runs);
  else state.share *= lessByALonger;
  state.readings = 0;
}

/**
 * Of runs a little longer than an interval many are seen by one reading too, and none is missed: these are left to the
 * contact.
 *
 * @param already what was said last: less keeps it so
 */
export function missesBriefRuns({ runs, share }: BriefRunsState, already: boolean): boolean {
  return runs >= fewest && share > (already ? 0.4 : 0.85);
}
