// How long a contact bounces, so that a switch that its bounce hides is known to have been seen late.

export interface BounceLengthState {
  /** The longest that a change went to and fro before it lasted, of late. */
  longest_s: number;
}

export function newBounceLength(): BounceLengthState {
  return { longest_s: 0 };
}

/** A contact that bounces shows most of it at one change in so many; what it has not shown for longer counts less and less. */
const memory = 50;

/** @param length_s from the first touch of a change to the last; 0 of one that did not bounce */
export function noteBounce(state: BounceLengthState, length_s: number): void {
  state.longest_s = Math.max(length_s, state.longest_s * (1 - 1 / memory));
}

/**
 * By how much, at the most, a change may have come before its first touch showed it. A contact that says either for the
 * time of a bounce hides the first of it as often as the last: what of a whole bounce did not follow the first touch may
 * have gone before.
 *
 * @param length_s of this change, from its first touch to its last
 * @returns seconds; 0 of a contact that has not bounced
 */
export function hiddenByBounce_s({ longest_s }: BounceLengthState, length_s: number): number {
  return Math.max(0, longest_s - length_s);
}
