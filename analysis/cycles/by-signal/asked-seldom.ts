// A contact, or a meter on the motor, that is asked by a clock of its own more seldom than the level: what it said at its last
// row is old news at the levels after it. One that speaks when it changes is not, though it may say so again by a clock: its
// changes come whenever the pump switches, those of one that is asked only when it is.

import { areEven, orNone, stepsAfter, towards } from "../../statistics/towards.ts";

export interface SignalRowsState {
  /** A level has come without it of late; else nothing else is noted: it speaks at each. */
  watched: boolean;
  /** Rows of it in a row with no level between them. */
  together: number;
  /** The latest row that carried the signal, and the one before it; NaN before there were any. */
  at_s: number;
  before_s: number;
  /** Median and 95 % quantile of the time from one to the next; NaN before the second. */
  every_s: number;
  long_s: number;
  seen: number;
  /** Share of its rows, of late, that said something else than the one before. */
  changed: number;
  /** Share of its changes, of late, that came when it was asked, as far as is known of how many. */
  whenAsked: number;
  told: number;
  /** Whether the level showed the pump at work at the latest reading. */
  byLevel: boolean | null;
}

export function newSignalRows(): SignalRowsState {
  return {
    watched: false,
    together: 0,
    at_s: Number.NaN,
    before_s: Number.NaN,
    every_s: Number.NaN,
    long_s: Number.NaN,
    seen: 0,
    changed: 0,
    whenAsked: 0,
    told: 0,
    byLevel: null,
  };
}

/** Of a row that comes by the clock, by so much of it sooner or later; that of a change comes so by chance one time in five. */
const onTheClock = 0.1;
/** Rows that nearly all say something else are those of changes alone. Judgement, no source. */
const mostChanged = 0.5;
const memory = 8;
const soManyTogether = 20;
const fewestRows = 4;
/** So many of its changes, and nearly all of the latest: by chance fewer than one in a hundred. */
const fewestTold = 3;
const nearlyAll = 0.75;
/** So many times as long as from one level to the next: about every other level is read without it. Judgement, no source. */
const moreSeldom = 1.5;

/** Takes a level that comes without the signal. */
export function noteLevelWithout(state: SignalRowsState): void {
  state.watched = true;
  state.together = 0;
}

/** Takes a row that carries the signal. @param changed it says something else than the one before */
export function noteSignalRow(state: SignalRowsState, time_s: number, changed: boolean): void {
  if (!state.watched) return;
  state.together += 1;
  if (state.together > soManyTogether) {
    Object.assign(state, newSignalRows());
    return;
  }
  const since_s = time_s - state.at_s;
  if (since_s === 0) return;
  state.before_s = state.at_s;
  state.at_s = time_s;
  if (!(since_s > 0)) return;
  if (changed || state.changed > 0)
    state.changed = orNone(state.changed + ((changed ? 1 : 0) - state.changed) / Math.min(20, state.seen + 1));
  if (changed && state.seen >= fewestRows && state.changed < mostChanged) noteTold(state, isByTheClock(state, since_s));
  state.seen += 1;
  if (since_s === state.every_s && since_s === state.long_s) return;
  const { median, up, down } = stepsAfter(state.seen);
  state.every_s = Number.isNaN(state.every_s) ? since_s : towards(state.every_s, since_s, median, median);
  state.long_s = Number.isNaN(state.long_s) ? since_s : towards(state.long_s, since_s, up, down);
}

/** A run went by between two of its rows, and it has said nothing: one that speaks when it changes would have. */
export function noteUnasked(state: SignalRowsState): void {
  noteTold(state, true);
}

/** Over a gap nobody knows when it would have been asked. */
export function forgetRow(state: SignalRowsState): void {
  state.at_s = Number.NaN;
  state.before_s = Number.NaN;
}

/** Rows may be lost: a whole number of them. */
function isByTheClock({ every_s }: SignalRowsState, since_s: number): boolean {
  const times = Math.max(1, Math.round(since_s / every_s));
  return Math.abs(since_s / every_s - times) < onTheClock;
}

function noteTold(state: SignalRowsState, whenAsked: boolean): void {
  state.told = Math.min(memory, state.told + 1);
  state.whenAsked = orNone(state.whenAsked + ((whenAsked ? 1 : 0) - state.whenAsked) / state.told);
}

/**
 * It may be that nothing is known of it but at its rows: they come by a clock, more seldom than levels, and
 * hardly a change has come between them.
 *
 * @param level_s from one level to the next
 */
export function mayBeOld(state: SignalRowsState, level_s: number): boolean {
  const { every_s, long_s, seen, told, whenAsked } = state;
  return (
    every_s > moreSeldom * level_s &&
    seen >= fewestRows &&
    areEven(every_s, long_s) &&
    !(told > 0 && whenAsked < nearlyAll)
  );
}

/** … and it is known. */
export function isAskedSeldom(state: SignalRowsState, level_s: number): boolean {
  return state.told >= fewestTold && mayBeOld(state, level_s);
}

/**
 * How likely it was asked within a run, off whose ends a level may be by `unsure_s` (uniform: GUM 4.3.7). That a run is over shows
 * some rows later: those before the latest two lay as far apart as its rows do.
 */
export function askedWithin(
  { at_s, before_s, every_s }: SignalRowsState,
  from_s: number,
  to_s: number,
  unsure_s: number,
): number {
  const since = Math.max(0, Math.ceil((before_s - (to_s - unsure_s)) / every_s));
  const within = (row_s: number) => {
    const deep_s = Math.min(row_s - from_s, to_s - row_s);
    return deep_s > 0 ? Math.min(1, (1 + deep_s / unsure_s) / 2) : 0;
  };
  return Math.max(within(at_s), within(before_s), within(before_s - since * every_s));
}
