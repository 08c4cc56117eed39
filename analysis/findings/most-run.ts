// How much the pump has run in ten minutes, by its own signal: about so much has come in as it moves in that time. Bounds
// from above and from below, for what readings far apart make of runs and rests that they hardly see.

export interface MostRunState {
  /** Time in which the signal said 'runs', and starts, at each change and about twice a minute of a run; oldest first. */
  marks: { readonly time_s: number; readonly ran_s: number; readonly starts: number }[];
  /** The most of any ten minutes so far, as a share that may be too high by chance; null before there are any. */
  most: number | null;
}

export function newMostRun(): MostRunState {
  return { marks: [], most: null };
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
  const { marks } = state;
  if (ran_s === null) {
    marks.length = 0;
    return null;
  }
  const last = marks[marks.length - 1];
  if (last !== undefined && (ran_s === last.ran_s || time_s - last.time_s < between_s)) return null;
  marks.push({ time_s, ran_s, starts });
  while ((marks[1]?.time_s ?? Number.POSITIVE_INFINITY) <= time_s - window_s) marks.shift();
  const from = marks[0] ?? { time_s, ran_s, starts };
  const length_s = Math.max(window_s, time_s - from.time_s);
  // Each run is seen too long or too short by somewhat less than the time between two readings (uniform: GUM 4.3.7).
  const u_s = readEvery_s * Math.sqrt((starts - from.starts + 1) / 6);
  const share = (ran_s - from.ran_s) / length_s;
  state.most = Math.max(state.most ?? 0, share + (byChance * u_s) / window_s);
  return time_s - from.time_s < window_s ? null : share - (byChance * u_s) / length_s;
}
