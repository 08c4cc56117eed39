// Rain as stretches of time with a depth each, gathered reading by reading into few numbers: a wet five minutes is a
// stretch, a dry week is one. Reading files of rain is the daemon's job.

import type { Reading } from "../readings/reading.ts";

/** Rain over a stretch of time; 0 is known to be dry, time that no stretch covers is unknown. */
export interface RainStretch {
  readonly from_s: number;
  readonly to_s: number;
  readonly rain_m: number;
}

/** Plain data, fit for structured cloning. `wetFrom_s` is null in dry weather. */
export interface RainCollectorState {
  readonly stretches: RainStretch[];
  lastRow_s: number | null;
  lastRain_s: number | null;
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
    lastRain_s: null,
    wetFrom_s: null,
    dryFrom_s: null,
    depth_m: 0,
  };
  return {
    push: ({ time_s, rain_m }) => take(state, time_s, rain_m),
    stretches: () => (state.lastRain_s === null ? null : [...state.stretches, ...open(state)]),
    snapshot: () => ({ ...state, stretches: [...state.stretches] }),
  };
}

function take(state: RainCollectorState, time_s: number, rain_m: number | null): void {
  const last_s = state.lastRow_s;
  if (last_s !== null && !(time_s > last_s)) {
    // A second row of the same time may still bring the rain; its place is the step before.
    if (time_s === last_s && isDepth(rain_m) && rain_m > 0) addDepth(state, time_s - 1, time_s, rain_m);
    return;
  }
  state.lastRow_s = time_s;
  const heard = isDepth(rain_m);
  if (last_s === null || time_s - last_s > gap_s) {
    close(state, last_s);
    if (heard) state.lastRain_s = time_s;
    // What fell while nobody looked is known as far as the gauge went on counting; that nothing fell is not.
    if (last_s !== null && heard && rain_m > 0 && time_s - last_s <= longestCount_s) add(state, last_s, time_s, rain_m);
    return;
  }
  const alive = heard || (state.lastRain_s !== null && time_s - state.lastRain_s <= silent_s);
  if (heard) state.lastRain_s = time_s;
  if (!alive) close(state, last_s);
  else if (heard && rain_m > 0) addDepth(state, last_s, time_s, rain_m);
  else addDry(state, last_s, time_s);
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
  if (state.wetFrom_s === null) state.dryFrom_s ??= from_s;
  else if (to_s - state.wetFrom_s >= step_s) close(state, to_s);
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

function open({ wetFrom_s, dryFrom_s, depth_m, lastRow_s }: RainCollectorState): RainStretch[] {
  const from_s = wetFrom_s ?? dryFrom_s;
  return from_s === null || lastRow_s === null || !(lastRow_s > from_s)
    ? []
    : [{ from_s, to_s: lastRow_s, rain_m: wetFrom_s === null ? 0 : depth_m }];
}
