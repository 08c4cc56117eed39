// How often readings come, learned as they come, and from that what counts as a gap.

export interface CadenceState {
  last_s: number;
  /** Typical interval between readings; NaN before the second. */
  typical_s: number;
  seen: number;
  /** Share of readings that flipped the pump signal: near 1 in a log that has a row per event only. */
  flipShare: number;
}

export function newCadence(): CadenceState {
  return { last_s: Number.NaN, typical_s: Number.NaN, seen: 0, flipShare: 0 };
}

/** Silence that is a gap: five intervals and a minute at least; in a log of events only, a day. */
const intervalsToGap = 5;
const shortestGap_s = 60;
const eventLogGap_s = 86_400;

/**
 * Takes the time of the next reading and says whether the silence before it was a gap.
 *
 * The typical interval is a running median: a step of 5 % up or down towards each interval, so that a few long ones
 * do not move it.
 */
export function isGap(cadence: CadenceState, time_s: number, hasLevel: boolean, flipped: boolean): boolean {
  const interval_s = time_s - cadence.last_s;
  cadence.last_s = time_s;
  cadence.flipShare += ((flipped ? 1 : 0) - cadence.flipShare) * 0.05;
  if (!(interval_s > 0)) return false;
  const gap = Number.isFinite(cadence.typical_s) && interval_s > gapLimit_s(cadence, hasLevel);
  if (!Number.isFinite(cadence.typical_s)) cadence.typical_s = interval_s;
  else if (!gap) learn(cadence, interval_s);
  return gap;
}

export function gapLimit_s(cadence: CadenceState, hasLevel: boolean): number {
  if (!hasLevel && cadence.flipShare > 0.3) return eventLogGap_s;
  return Math.max(shortestGap_s, intervalsToGap * cadence.typical_s);
}

function learn(cadence: CadenceState, interval_s: number): void {
  cadence.seen += 1;
  // The first intervals move it quickly: the very first one may have been an odd one.
  const step = cadence.seen < 20 ? 1.5 : 1.05;
  if (interval_s > cadence.typical_s) cadence.typical_s = Math.min(interval_s, cadence.typical_s * step);
  else cadence.typical_s = Math.max(interval_s, cadence.typical_s / step);
}
