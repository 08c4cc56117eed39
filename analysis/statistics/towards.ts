// One step of a running quantile: up or down by a factor, never past the newest value.

/**
 * With equal factors it settles at the median; with `up` the 19th power of `down`, at the 95 % quantile.
 *
 * @param up, down factors above 1
 */
export function towards(value: number, newest: number, up: number, down: number): number {
  if (newest === value) return value;
  return newest > value ? Math.min(newest, value * up) : Math.max(newest, value / down);
}

/** Steps that settle at the median and at the 95 % quantile. */
const stepsOf = (step: number) => ({ median: step, up: step ** (0.95 * 2), down: (step ** (1 - 0.95)) ** 2 });
const quick = stepsOf(1.5);
const slow = stepsOf(1.05);
/** So many values are learned from in quick steps: the very first may be odd. */
export const quickFor = 20;

/** The factors for `towards` once so many values have been taken. */
export function stepsAfter(count: number): { readonly median: number; readonly up: number; readonly down: number } {
  return count < quickFor ? quick : slow;
}

/** A running share that has sunk far below all that it is held against is none: what it goes on to be would only cost time. */
export function orNone(share: number): number {
  return share < 1e-6 ? 0 : share;
}

/** Intervals, of which half exceed the median and one in twenty the long one, are those of a clock; judgement, no source. */
export function areEven(median_s: number, long_s: number): boolean {
  return long_s < 1.6 * median_s;
}
