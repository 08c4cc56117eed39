// Level samples that wait until it is known which rest or run they belong to: first in, first out, in columns.

export interface WaitingSamples {
  time_s: Float64Array;
  level_m: Float64Array;
  /** The level freed of noise. */
  smooth_m: Float64Array;
  /** Where the oldest stands, and how many wait. */
  first: number;
  count: number;
}

/** At first: such short columns lie in the engine's own heap, where they cost little. */
const places = 8;

export function nothingWaits(): WaitingSamples {
  return {
    time_s: new Float64Array(places),
    level_m: new Float64Array(places),
    smooth_m: new Float64Array(places),
    first: 0,
    count: 0,
  };
}

export function letWait(waiting: WaitingSamples, time_s: number, level_m: number, smooth_m: number): void {
  if (waiting.first + waiting.count === waiting.time_s.length) makeRoom(waiting);
  const place = waiting.first + waiting.count;
  waiting.time_s[place] = time_s;
  waiting.level_m[place] = level_m;
  waiting.smooth_m[place] = smooth_m;
  waiting.count += 1;
}

/** Forgets the oldest `count`. */
export function forgetOldest(waiting: WaitingSamples, count: number): void {
  waiting.count = Math.max(0, waiting.count - count);
  waiting.first = waiting.count === 0 ? 0 : waiting.first + count;
}

/** Forgets the newest `count`. */
export function forgetNewest(waiting: WaitingSamples, count: number): void {
  waiting.count = Math.max(0, waiting.count - count);
  if (waiting.count === 0) waiting.first = 0;
}

/** Of the `i`th that waits, the oldest being 0; NaN when there are not so many. */
export function waitingTime_s({ time_s, first, count }: WaitingSamples, i: number): number {
  return i >= 0 && i < count ? (time_s[first + i] ?? Number.NaN) : Number.NaN;
}

export function waitingLevel_m({ level_m, first, count }: WaitingSamples, i: number): number {
  return i >= 0 && i < count ? (level_m[first + i] ?? Number.NaN) : Number.NaN;
}

export function waitingSmooth_m({ smooth_m, first, count }: WaitingSamples, i: number): number {
  return i >= 0 && i < count ? (smooth_m[first + i] ?? Number.NaN) : Number.NaN;
}

/** Moves those that wait to the front; where more than half the places are taken, to twice as many places. */
function makeRoom(waiting: WaitingSamples): void {
  const { first, count } = waiting;
  const size = waiting.time_s.length;
  for (const column of ["time_s", "level_m", "smooth_m"] as const) {
    const old = waiting[column];
    if (2 * count > size) waiting[column] = new Float64Array(2 * size);
    waiting[column].set(old.subarray(first, first + count));
  }
  waiting.first = 0;
}
