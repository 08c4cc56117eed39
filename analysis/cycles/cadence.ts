// How often readings come, learned as they come, and from that what counts as a gap.

import { areEven, orNone, stepsAfter, towards } from "../statistics/towards.ts";

export interface CadenceState {
  last_s: number;
  /** Typical interval between readings (their median); NaN before the second. */
  typical_s: number;
  /** An interval that one in twenty exceeds: what a logger that writes on change only may leave out. */
  long_s: number;
  seen: number;
  /** Share of readings that flipped the pump signal: near 1 in a log that has a row per event only. */
  flipShare: number;
  /** The same among the readings that carry the pump signal, but for those that come by the clock of a level and do not flip it. */
  eventShare: number;
  signals: number;
}

export function newCadence(): CadenceState {
  return {
    last_s: Number.NaN,
    typical_s: Number.NaN,
    long_s: Number.NaN,
    seen: 0,
    flipShare: 0,
    eventShare: 0,
    signals: 0,
  };
}

/** Silence that is a gap: five long intervals and a minute at least; in a log of events only, a day. */
const intervalsToGap = 5;
const shortestGap_s = 60;
const eventLogGap_s = 86_400;

/** How far apart nearly all readings are; 0 before two have come. */
export function readEvery_s({ long_s }: CadenceState): number {
  return Number.isFinite(long_s) ? long_s : 0;
}

/**
 * Takes the time of the next reading and says whether the silence before it was a gap.
 *
 * Median and 95 % quantile of the intervals are followed by small steps up or down, so that a few long ones do not
 * move them. A gap moves them too, a little: a logger set to longer intervals is gaps only at first.
 *
 * @param still_s levels are written down only once they have changed, and no change in such a time says that there was none
 */
export function isGap(
  cadence: CadenceState,
  time_s: number,
  hasLevel: boolean,
  flipped: boolean,
  still_s = 0,
): boolean {
  const interval_s = time_s - cadence.last_s;
  cadence.last_s = time_s;
  if (flipped || cadence.flipShare > 0) noteFlip(cadence, flipped);
  if (!(interval_s > 0)) return false;
  if (!Number.isFinite(cadence.typical_s)) {
    cadence.typical_s = interval_s;
    cadence.long_s = interval_s;
    return false;
  }
  const gap = interval_s > gapLimit_s(cadence, hasLevel, still_s);
  learn(cadence, interval_s);
  return gap;
}

/** As `isGap` and `noteSignal` do for readings by the clock that carry level and signal, none of them after a gap. */
export function noteRegular(cadence: CadenceState, time_s: Float64Array, count: number): void {
  let { last_s, flipShare } = cadence;
  for (let i = 0; i < count && flipShare > 0; i += 1) flipShare = stepped(flipShare, 0, cadence.seen + i);
  cadence.flipShare = flipShare;
  let from = 0;
  // Nothing is to be learned from intervals like all of late.
  if (cadence.typical_s === cadence.long_s) {
    const { typical_s } = cadence;
    for (; from < count && (time_s[from] as number) - last_s === typical_s; from += 1) last_s = time_s[from] as number;
    cadence.seen += from;
  }
  for (let i = from; i < count; i += 1) {
    const interval_s = (time_s[i] as number) - last_s;
    last_s = time_s[i] as number;
    learn(cadence, interval_s);
  }
  cadence.last_s = last_s;
  cadence.signals += count;
}

export function gapLimit_s(cadence: CadenceState, hasLevel: boolean, still_s = 0): number {
  if (still_s > 0) return Math.max(shortestGap_s, still_s);
  if (!hasLevel && isEventLog(cadence)) return eventLogGap_s;
  return Math.max(shortestGap_s, intervalsToGap * cadence.long_s);
}

/** A row for each change of the pump, and few others: its edges are exact, its silence says that nothing changed. */
export function isEventLog(cadence: CadenceState): boolean {
  return cadence.flipShare > 0.3;
}

/** Rows come by the clock, not by what changes. */
export function isRegular({ typical_s, long_s }: CadenceState): boolean {
  return areEven(typical_s, long_s);
}

/** A row that comes later or sooner than usual by less than this share of it comes by the clock, whatever it says … */
const onTheClock = 0.2;
/** … where so many of the rows carry the pump's signal: others beside it have a clock of their own. */
const nearlyAllRows = 0.9;
const leastShare = 0.02;

/**
 * Takes a reading that carries the pump signal.
 *
 * @param interval_s since the reading before; absent: not known
 * @param levelsByClock levels come by the clock, whatever the contact does
 */
export function noteSignal(
  cadence: CadenceState,
  flipped: boolean,
  withLevel: boolean,
  interval_s = Number.NaN,
  levelsByClock = false,
): void {
  cadence.signals += 1;
  // Rows that come for a level by its clock say something of the contact only where it has changed at one.
  if (withLevel && levelsByClock && !flipped) return;
  const alone = cadence.signals >= nearlyAllRows * cadence.seen;
  const byClock = alone && Math.abs(interval_s / cadence.typical_s - 1) < onTheClock;
  const event = flipped && !withLevel && !byClock ? 1 : 0;
  if (event === 0 && cadence.eventShare === 0) return;
  const share = cadence.eventShare + (event - cadence.eventShare) / Math.min(20, cadence.signals);
  // A level that was lost just at a change makes no log of events.
  cadence.eventShare = share < leastShare ? 0 : share;
}

/**
 * The pump signal speaks for itself when it changes, beside levels that come by the clock: its edges are exact. Rows by the
 * clock alone may show as many changes, where they come hardly more often than the pump starts.
 */
export function hasExactEdges(cadence: CadenceState): boolean {
  return (isEventLog(cadence) && !isRegular(cadence)) || cadence.eventShare > 0.3;
}

function noteFlip(cadence: CadenceState, flipped: boolean): void {
  cadence.flipShare = stepped(cadence.flipShare, flipped ? 1 : 0, cadence.seen);
}

function stepped(flipShare: number, flipped: 0 | 1, seen: number): number {
  return orNone(flipShare + (flipped - flipShare) / Math.min(20, seen + 1));
}

function learn(cadence: CadenceState, interval_s: number): void {
  cadence.seen += 1;
  const { median, up, down } = stepsAfter(cadence.seen);
  cadence.typical_s = towards(cadence.typical_s, interval_s, median, median);
  cadence.long_s = towards(cadence.long_s, interval_s, up, down);
}
