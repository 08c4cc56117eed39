// A thermometer or a rain gauge watched: one that gives the very same figure for far longer than it used to is stuck. It is
// looked at when the pump starts, for between runs nothing need be looked at.

export interface SlowChannelState {
  value: number | null;
  /** Since when it has been the same; NaN after a gap. */
  since_s: number;
  /** The value before it, and the smallest step from one to the next. */
  before: number | null;
  step: number;
  /** How often it has gone on through a value, from the one beside it to the next, and the longest time for which it stood. */
  passed: number;
  longest_s: number;
  /** Starts of the pump at which it was the same. */
  starts: number;
  stuck: boolean;
}

export function newSlowChannel(): SlowChannelState {
  return {
    value: null,
    since_s: Number.NaN,
    before: null,
    step: Number.POSITIVE_INFINITY,
    passed: 0,
    longest_s: 0,
    starts: 0,
    stuck: false,
  };
}

/**
 * A basement's temperature may stand for days where steps are coarse, by a finer one no day is just like its own beginning;
 * for so long, and so many times longer than ever before.
 */
export const standsFor_s = 172_800;
const finelyFor_s = 86_400;
const fine_c = 0.15;
export const timesLongest = 8;
/** One that only trembles between two values has not shown how long it stands in the middle of a step when it is well. */
const fewestPassed = 12;
/** Rain falls by the same depth in every reading for no whole day. */
const sameRainFor_s = 86_400;
const fewestStarts = 6;

/** Takes what a thermometer says. @param starts the pump starts with this reading */
export function noteTemperature(state: SlowChannelState, time_s: number, value: number | null, starts: boolean): void {
  if (value === null) return;
  noteValue(state, time_s, value);
  if (!starts) return;
  state.starts += 1;
  const longEnough_s = Math.max(state.step < fine_c ? finelyFor_s : standsFor_s, timesLongest * state.longest_s);
  state.stuck = state.passed >= fewestPassed && time_s - state.since_s > longEnough_s;
}

/** Takes what a rain gauge says; many say nothing while it is dry, and the same of every tip of their bucket. */
export function noteRain(state: SlowChannelState, time_s: number, value: number | null, starts: boolean): void {
  if (value !== null) noteValue(state, time_s, value);
  if (!starts) return;
  if (value === null || value === 0) {
    Object.assign(state, { since_s: time_s, starts: 0, stuck: false });
    return;
  }
  state.starts += 1;
  state.stuck = state.starts >= fewestStarts && time_s - state.since_s > sameRainFor_s;
}

/** Over a gap nobody knows whether it stood still. */
export function forgetStand(state: SlowChannelState): void {
  Object.assign(state, { since_s: Number.NaN, starts: 0 });
}

function noteValue(state: SlowChannelState, time_s: number, value: number): void {
  if (value === state.value) {
    if (Number.isNaN(state.since_s)) state.since_s = time_s;
    return;
  }
  // What was stuck shows by its own length no more how long it stands when it is well.
  if (!state.stuck && time_s > state.since_s) state.longest_s = Math.max(state.longest_s, time_s - state.since_s);
  const { value: last, before } = state;
  if (last !== null) {
    if (before !== null && (last - before) * (value - last) > 0) state.passed += 1;
    state.step = Math.min(state.step, Math.abs(value - last));
    state.before = last;
  }
  Object.assign(state, { value, since_s: time_s, starts: 0, stuck: false });
}
