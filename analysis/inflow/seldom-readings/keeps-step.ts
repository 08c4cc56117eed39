// Cycles that keep step with the readings: those then show of all of them the same part, and only how long a cycle lasts.

/** How long a cycle lasts follows from what is known of pump and floats to about this share; judgement, no source. */
const uCycleLength = 0.03;
/** Cycles hardly longer than the quickest, by so many times that: which side of half the pump's flow comes in is open. */
const hardlyLonger = 1.5;
/** That is open, too, for those that go by fewer times than this. */
const seldom = 2;

/** @returns how often readings that miss whole cycles go through all parts of one */
export function timesThroughCycle(
  share: number,
  active_m3: number,
  pump_m3s: number,
  length_s: number,
  interval_s: number,
): number {
  const cyclesPerInterval = (interval_s * share * Math.max(0, 1 - share) * pump_m3s) / active_m3;
  const whole = Math.max(1, Math.round(cyclesPerInterval));
  return (Math.abs(cyclesPerInterval - whole) * length_s) / interval_s;
}

/** Not even once through all of its parts: the pump may run at each of the readings, or at none. */
export function keepsStep(timesThrough: number): boolean {
  return timesThrough < 1;
}

/**
 * Standard uncertainty of the share of the pump's flow that comes in, as far as it is known by the length of cycles alone.
 * That is least, and hardly changes, about a half: s (1 − s) of the quickest; and it is the same for s and for 1 − s.
 */
export function uShareInStep(share: number, timesThrough: number): number {
  const apart = Math.abs(1 - 2 * share);
  const off = (Math.sqrt(apart ** 2 + 4 * uCycleLength * share * Math.max(0, 1 - share)) - apart) / 2;
  // Anywhere between the two (uniform: GUM 4.3.7).
  const either = apart ** 2 < hardlyLonger * uCycleLength ? apart / Math.sqrt(3) : 0;
  return Math.hypot(off, either) / (1 + (timesThrough / seldom) ** 2);
}
