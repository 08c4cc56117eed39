// Water that a running pump has down at its stop level: since when, and how long it took to come there.

/** Noise hides by no more than this whether the water is down at the stop level. */
export const mostWithin_m = 0.003;
/** Over the stop level by this much the running pump has water again. */
export const wetAgain_m = 0.01;
/** … or by so many standard deviations of the level, for no noise may make it so. */
const deviations = 4;

export interface AtStopState {
  /** Since when a running pump has had the water there; null while it has not. */
  since_s: number | null;
  /** When the pump last stood or had more water than that; NaN where that was not seen. */
  wet_s: number;
  /** How long it took since then to come down there; null before it has. */
  cameIn_s: number | null;
}

export function newAtStop(): AtStopState {
  return { since_s: null, wet_s: Number.NaN, cameIn_s: null };
}

/** Takes a moment at which the water is not down there, or no pump runs. */
export function leaveStop(state: AtStopState, time_s: number, runs: boolean, over_m: number, noise_m: number): void {
  state.since_s = null;
  if (runs && !(over_m > Math.max(wetAgain_m, deviations * noise_m))) return;
  state.wet_s = time_s;
  state.cameIn_s = null;
}

/**
 * Takes the newest level.
 *
 * @param over_m by how much the level is over the stop level; null without one, or where none is stated
 */
export function noteAtStop(
  state: AtStopState,
  time_s: number,
  runs: boolean,
  over_m: number | null,
  noise_m: number,
): void {
  if (runs && over_m !== null && over_m <= Math.min(mostWithin_m, noise_m)) {
    state.since_s ??= time_s;
    // One that stands there, be it with noise, came down once.
    state.cameIn_s ??= Number.isNaN(state.wet_s) ? 0 : time_s - state.wet_s;
  } else leaveStop(state, time_s, runs, over_m ?? Number.NEGATIVE_INFINITY, noise_m);
}
