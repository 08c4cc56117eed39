// Cycles that take nearly a whole number of intervals are read at the same point again and again: a dozen runs in a row with
// a reading each, then dozens with none. So many tell little more of how long runs last than one does.

export interface ReadAlikeState {
  /** Over the latest runs, older ones fading: how many, readings in them, and by how many these changed from run to run. */
  runs: number;
  readings: number;
  changes: number;
  /** In the run before; NaN before the first. */
  last: number;
}

export function newReadAlike(): ReadAlikeState {
  return { runs: 0, readings: 0, changes: 0, last: Number.NaN };
}

const memory = 300;
/** As long as little is known, readings are taken to fall anywhere: as if so many runs had shown it. */
const atFirst = 5;

/**
 * Takes the readings in a run.
 *
 * Where readings fall anywhere, a run holds n or n + 1 of them, the latter in a share f of all runs, and neighbours differ
 * in 2 f (1 − f). Where they differ in r times as many, the mean of the readings has (2 − r) / r times the variance: that of
 * a chain of two states with the correlation 1 − r from one to the next.
 *
 * @returns how many times as unsure each run is as where they fall anywhere, so that the mean of many comes out as unsure as it is
 */
export function noteReadAlike(state: ReadAlikeState, readings: number): number {
  const keep = 1 - 1 / memory;
  const change = Number.isNaN(state.last) ? 0 : Math.min(1, Math.abs(readings - state.last));
  state.runs = keep * state.runs + 1;
  state.readings = keep * state.readings + readings;
  state.changes = keep * state.changes + change;
  state.last = readings;
  // That all were read as often may be chance, and the next would not be: no share is known to be nothing.
  const least = 0.5 / (state.runs + 1);
  const share = Math.min(1 - least, Math.max(least, (state.readings / state.runs) % 1));
  const anywhere = 2 * share * (1 - share);
  // The first of them changed from none.
  const r = Math.min(1, (state.changes + atFirst * anywhere) / ((state.runs - 1 + atFirst) * anywhere));
  return Math.sqrt((2 - r) / r);
}
