// How long a contact bounces, so that a switch that its bounce hides is known to have been seen late.

export interface BounceLengthState {
  /** Of how long a change went to and fro before it lasted, and of its square. */
  mean_s: number;
  meanSquare_s2: number;
  changes: number;
}

export function newBounceLength(): BounceLengthState {
  return { mean_s: 0, meanSquare_s2: 0, changes: 0 };
}

const memory = 20;
const fewest = 8;

/** @param length_s from the first touch of a change to the last; 0 of one that did not bounce */
export function noteBounce(state: BounceLengthState, length_s: number): void {
  state.changes += 1;
  const step = 1 / Math.min(memory, state.changes);
  state.mean_s += (length_s - state.mean_s) * step;
  state.meanSquare_s2 += (length_s ** 2 - state.meanSquare_s2) * step;
}

/**
 * By how much, at the most, a change may have come before its first touch showed it. A contact that says either at random for
 * the time of a bounce hides the first of it as often as the last, each for as long as it dwells: the lengths that are seen are
 * short by twice that on the average, and scatter by √2 times that. So a whole bounce is as long as their mean and √2 of
 * their standard deviations, and what of it did not follow the first touch may have gone before.
 *
 * @param length_s of this change, from its first touch to its last
 * @returns seconds; 0 where most changes do not bounce: one that does says nothing of the others
 */
export function hiddenByBounce_s({ mean_s, meanSquare_s2, changes }: BounceLengthState, length_s: number): number {
  const sd_s = Math.sqrt(Math.max(0, meanSquare_s2 - mean_s ** 2));
  if (changes < fewest || !(mean_s > sd_s)) return 0;
  return Math.max(0, mean_s + Math.SQRT2 * sd_s - length_s);
}
