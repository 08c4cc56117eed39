// How much the pump has run in ten minutes, by its own signal: about so much has come in as it moves in that time. Bounds
// from above and from below, for what readings far apart make of runs and rests that they hardly see.

export interface MostRunState {
  /** At each change of the signal and about twice a minute of a run, oldest first: when, how long it had said 'runs', starts. */
  time_s: number[];
  ran_s: number[];
  starts: number[];
  /** The most of any ten minutes so far, as a share that may be too high by chance; null before there are any. */
  most: number | null;
}

export function newMostRun(): MostRunState {
  return { time_s: [], ran_s: [], starts: [], most: null };
}

const window_s = 600;
const between_s = 30;
/** Standard deviations of the time that samples say, for the highest of many windows. */
const byChance = 3;

/**
 * Takes the time that the signal has said 'runs' in all.
 *
 * @param ran_s null where no signal tells: what was counted before says nothing of now
 * @returns the share of the latest ten minutes in which it ran at the least; null before there are ten
 */
export function noteMostRun(
  state: MostRunState,
  time_s: number,
  ran_s: number | null,
  starts: number,
  readEvery_s: number,
): number | null {
  if (ran_s === null) {
    forgetMarks(state);
    return null;
  }
  const last = state.time_s.length - 1;
  if (last >= 0 && (ran_s === state.ran_s[last] || time_s - (state.time_s[last] ?? 0) < between_s)) return null;
  state.time_s.push(time_s);
  state.ran_s.push(ran_s);
  state.starts.push(starts);
  while ((state.time_s[1] ?? Number.POSITIVE_INFINITY) <= time_s - window_s) {
    for (const column of [state.time_s, state.ran_s, state.starts]) column.shift();
  }
  const seen_s = time_s - (state.time_s[0] ?? time_s);
  const length_s = Math.max(window_s, seen_s);
  // Each run is seen too long or too short by somewhat less than the time between two readings (uniform: GUM 4.3.7).
  const u_s = readEvery_s * Math.sqrt((starts - (state.starts[0] ?? starts) + 1) / 6);
  const share = (ran_s - (state.ran_s[0] ?? ran_s)) / length_s;
  state.most = Math.max(state.most ?? 0, share + (byChance * u_s) / window_s);
  return seen_s < window_s ? null : share - (byChance * u_s) / length_s;
}

function forgetMarks(state: MostRunState): void {
  state.time_s = [];
  state.ran_s = [];
  state.starts = [];
}
