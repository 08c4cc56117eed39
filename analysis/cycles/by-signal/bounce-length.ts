// How long a contact bounces, so that a switch that its bounce hides is known to have been seen late.

export interface BounceLengthState {
  /** Of how long a change went to and fro before it lasted, and of its square. */
  mean_s: number;
  meanSquare_s2: number;
  changes: number;
  /** The share of them that were seen to go to and fro by a few readings. */
  seldomSeen: number;
}

export function newBounceLength(): BounceLengthState {
  return { mean_s: 0, meanSquare_s2: 0, changes: 0, seldomSeen: 0 };
}

const memory = 20;
const fewest = 8;
/** A bounce that holds so few readings mostly does not show: of two that say either at random, at one change in four. */
const fewReadings = 3;
const someSeen = 0.15;

/**
 * @param length_s from the first touch of a change to the last; 0 of one that did not bounce
 * @param readings how many of them there were meanwhile
 */
export function noteBounce(state: BounceLengthState, length_s: number, readings: number): void {
  state.changes += 1;
  const step = 1 / Math.min(memory, state.changes);
  state.mean_s += (length_s - state.mean_s) * step;
  state.meanSquare_s2 += (length_s ** 2 - state.meanSquare_s2) * step;
  state.seldomSeen += ((length_s > 0 && readings <= fewReadings ? 1 : 0) - state.seldomSeen) * step;
}

/**
 * By how much, at the most, a change may have come before its first touch showed it. A contact that says either at random for
 * the time of a bounce hides the first of it as often as the last, each for as long as it dwells: the lengths that are seen are
 * short by twice that on the average, and scatter by √2 times that. So a whole bounce is as long as their mean and √2 of
 * their standard deviations, and what of it did not follow the first touch may have gone before.
 *
 * @param length_s of this change, from its first touch to its last
 * @returns seconds; 0 where most changes do not bounce, though readings would show it: one that does says nothing of the others
 */
export function hiddenByBounce_s(
  { mean_s, meanSquare_s2, changes, seldomSeen }: BounceLengthState,
  length_s: number,
): number {
  const sd_s = Math.sqrt(Math.max(0, meanSquare_s2 - mean_s ** 2));
  if (changes < fewest || !(mean_s > sd_s || seldomSeen > someSeen)) return 0;
  return Math.max(0, mean_s + Math.SQRT2 * sd_s - length_s);
}
