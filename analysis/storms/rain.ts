// Rain as stretches of time with a depth each, gathered reading by reading into few numbers: a wet five minutes is a
// stretch, a dry week is one. Reading files of rain is the daemon's job.

import type { Reading } from "../readings/reading.ts";

/** Rain over a stretch of time; 0 is known to be dry, time that no stretch covers is unknown. */
export interface RainStretch {
  readonly from_s: number;
  readonly to_s: number;
  readonly rain_m: number;
}

/** Plain data, fit for structured cloning. */
export interface RainCollectorState {
  readonly stretches: RainStretch[];
  lastRow_s: number | null;
  /** Up to when it is known what fell; null before the gauge first spoke, and after it has been silent for long. */
  known_s: number | null;
  /** Beginning of the stretch that is still open: in wet weather, in dry. */
  wetFrom_s: number | null;
  dryFrom_s: number | null;
  depth_m: number;
}

export interface RainCollector {
  /** Takes what a reading says of rain; readings come in order of time, older ones are left out. */
  push(reading: Pick<Reading, "time_s" | "rain_m">): void;
  /** All stretches so far; null when no reading ever had rain, not even 0. */
  stretches(): RainStretch[] | null;
  snapshot(): RainCollectorState;
}

const step_s = 300;
/** Between two readings further apart than this nobody knows when it rained, or whether. */
const gap_s = 3600;
/** What a gauge says after a silence fell since it last spoke, but hardly over more than an hour. */
const spread_s = 3600;
const longestCount_s = 86_400;
/** A gauge that only speaks of rain is silent when it is dry; after so long it may as well be broken. */
const silent_s = 2 * 86_400;
/** More than any rain gauge has seen in five minutes (38 mm in a minute, Barot, Guadeloupe, 1970: the WMO's record). */
const most_m = 0.2;

/** @param resume from `snapshot()` */
export function rainCollector(resume?: RainCollectorState): RainCollector {
  const state: RainCollectorState = resume ?? {
    stretches: [],
    lastRow_s: null,
    known_s: null,
    wetFrom_s: null,
    dryFrom_s: null,
    depth_m: 0,
  };
  return {
    push: ({ time_s, rain_m }) => take(state, time_s, rain_m),
    stretches: () => {
      const all = [...state.stretches, ...open(state)];
      return all.length === 0 && state.known_s === null ? null : all;
    },
    snapshot: () => ({ ...state, stretches: [...state.stretches] }),
  };
}

function take(state: RainCollectorState, time_s: number, rain_m: number | null): void {
  const last_s = state.lastRow_s;
  const heard = isDepth(rain_m);
  if (last_s !== null && !(time_s > last_s)) {
    // A second row of the same time may still bring the rain; its place is the second before.
    if (time_s === last_s && heard && rain_m > 0) addDepth(state, time_s - 1, time_s, rain_m);
    return;
  }
  state.lastRow_s = time_s;
  if (last_s === null) {
    if (heard) state.known_s = time_s;
  } else if (time_s - last_s > gap_s) {
    settle(state, last_s);
    // What fell while nobody looked is known as far as the gauge went on counting; that nothing fell is not.
    if (heard && rain_m > 0 && time_s - last_s <= longestCount_s) add(state, last_s, time_s, rain_m);
    state.known_s = heard ? time_s : null;
  } else if (heard) {
    const from_s = Math.max(state.known_s ?? last_s, time_s - silent_s);
    const wetFrom_s = rain_m > 0 ? Math.max(from_s, time_s - spread_s) : time_s;
    if (wetFrom_s > from_s) addDry(state, from_s, wetFrom_s);
    if (rain_m > 0) addDepth(state, wetFrom_s, time_s, rain_m);
    state.known_s = time_s;
  } else if (state.known_s !== null && time_s - state.known_s > silent_s) {
    settle(state, last_s);
    state.known_s = null;
  }
}

/** Nothing was said since: it was dry until then, and what comes after is not known. */
function settle(state: RainCollectorState, to_s: number): void {
  if (state.known_s !== null && to_s > state.known_s) addDry(state, state.known_s, to_s);
  close(state, to_s);
}

function isDepth(rain_m: number | null): rain_m is number {
  return rain_m !== null && rain_m >= 0 && rain_m <= most_m;
}

function addDepth(state: RainCollectorState, from_s: number, to_s: number, rain_m: number): void {
  if (state.dryFrom_s !== null) {
    if (from_s > state.dryFrom_s) add(state, state.dryFrom_s, from_s, 0);
    state.dryFrom_s = null;
  }
  state.wetFrom_s ??= from_s;
  state.depth_m += rain_m;
  if (to_s - state.wetFrom_s >= step_s) close(state, to_s);
}

function addDry(state: RainCollectorState, from_s: number, to_s: number): void {
  if (state.wetFrom_s !== null) {
    const end_s = Math.max(from_s, state.wetFrom_s + step_s);
    if (to_s < end_s) return;
    close(state, end_s);
    if (to_s > end_s) state.dryFrom_s = end_s;
  } else {
    state.dryFrom_s ??= from_s;
  }
}

function close(state: RainCollectorState, to_s: number | null): void {
  if (to_s !== null) {
    if (state.wetFrom_s !== null) add(state, state.wetFrom_s, to_s, state.depth_m);
    if (state.dryFrom_s !== null) add(state, state.dryFrom_s, to_s, 0);
  }
  state.wetFrom_s = null;
  state.dryFrom_s = null;
  state.depth_m = 0;
}

/** Dry stretches that follow one another are one. */
function add({ stretches }: RainCollectorState, from_s: number, to_s: number, rain_m: number): void {
  if (!(to_s > from_s)) return;
  const last = stretches[stretches.length - 1];
  if (last !== undefined && last.rain_m === 0 && rain_m === 0 && last.to_s === from_s) {
    stretches[stretches.length - 1] = { ...last, to_s };
  } else {
    stretches.push({ from_s, to_s, rain_m });
  }
}

/** What is not closed yet, and the silence since as dry. */
function open(state: RainCollectorState): RainStretch[] {
  const copy = { ...state, stretches: [] };
  if (state.lastRow_s !== null) settle(copy, state.lastRow_s);
  return copy.stretches;
}
