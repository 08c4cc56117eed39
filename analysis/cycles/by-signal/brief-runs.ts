// Whether the pump's runs are so brief that a contact asked at each reading misses some: most are seen by one reading alone.
// And whether they are long enough for it to time them, and the rests between them to be seen.

export interface BriefRunsState {
  /** Readings that have said 'runs' in the run under way. */
  readings: number;
  /** Readings since the last run that have said 'rests', as far as they count. */
  rested: number;
  /** How many runs were seen, and about the share of the latest that a single reading saw. */
  runs: number;
  share: number;
  /** … and that no contact could time, or that began within one reading of the run before. */
  untimed: number;
}

export function newBriefRuns(): BriefRunsState {
  return { readings: 0, rested: 0, runs: 0, share: 0, untimed: 0 };
}

/** So many runs are remembered; of fewer than that many nothing is said. */
const latest = 12;
const fewest = 5;
/** Two longer ones soon after each other are a storm's, which a contact tells best. */
const lessByALonger = 0.6;

/** So many readings at least see a run, and a rest, of which either end is known to a fraction. */
const timesRun = 3;
const timesRest = 2;

/** Takes what the signal says at a reading. */
export function noteBriefRuns(state: BriefRunsState, on: boolean | null): void {
  if (on === true) {
    state.readings += 1;
    return;
  }
  if (state.readings === 0) {
    noteRested(state, 1);
    return;
  }
  state.runs += 1;
  const isTimed = state.readings >= timesRun && (state.rested >= timesRest || state.runs === 1);
  state.share = shareWith(state.share, state.readings === 1, state.runs);
  state.untimed = shareWith(state.untimed, !isTimed, state.runs);
  state.readings = 0;
  state.rested = 1;
}

/** Takes so many readings in a row at which it rests, as it did before. */
export function noteRested(state: BriefRunsState, readings: number): void {
  state.rested = Math.min(timesRest, state.rested + readings);
}

function shareWith(share: number, one: boolean, runs: number): number {
  return one ? share + (1 - share) / Math.min(latest, runs) : lessByALonger * share;
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

/**
 * Runs, and the rests between them, so long that a contact times them better than a level that is read as seldom: that
 * shows a turn only by what the readings on either side of it make of it.
 *
 * @param already what was said last: less keeps it so
 */
export function timesRuns({ runs, readings, untimed }: BriefRunsState, already: boolean): boolean {
  if (runs === 0) return readings >= timesRun;
  return untimed < (already ? 0.4 : 0.1);
}
