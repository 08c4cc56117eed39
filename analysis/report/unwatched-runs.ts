// What is counted of runs that the level alone shows, while the pump's signal says that it rests: of another pump that no
// signal tells of, or of a signal that is not whole.

import { shareOfRun } from "../findings/check-valve-leak.ts";
import { usualClosing_m3 } from "../inflow/drain-back/drain-back.ts";

export interface UnwatchedRuns {
  readonly runs: number;
  /** … of these since the signal last told of a start; absent: none. */
  readonly sinceStart?: number;
  readonly moved_m3: number;
  /** Errors of what each moved are independent … */
  readonly movedVariance_m6: number;
  /** … those of what came back unseen after it are not. */
  readonly uReturned_m3: number;
}

const none: UnwatchedRuns = { runs: 0, moved_m3: 0, movedVariance_m6: 0, uReturned_m3: 0 };

/** Takes in one more. */
export function noteUnwatched(tally: { unwatched?: UnwatchedRuns }, volume_m3: number, uVolume_m3: number): void {
  const { runs, sinceStart = 0, moved_m3, movedVariance_m6, uReturned_m3 } = tally.unwatched ?? none;
  tally.unwatched = {
    runs: runs + 1,
    sinceStart: sinceStart + 1,
    moved_m3: moved_m3 + volume_m3,
    movedVariance_m6: movedVariance_m6 + uVolume_m3 ** 2,
    uReturned_m3: uReturned_m3 + uReturnUnseen_m3(volume_m3),
  };
}

/** The signal has told of a start: what went unwatched before was not for its being dead. */
export function noteWatched(tally: { unwatched?: UnwatchedRuns }): void {
  if ((tally.unwatched?.sinceStart ?? 0) > 0)
    tally.unwatched = { ...(tally.unwatched as UnwatchedRuns), sinceStart: 0 };
}

/** The signal is known to be dead: what the level has shown since its last start were the pump's own. What they moved stays. */
export function takeForOwn(tally: { unwatched?: UnwatchedRuns; starts: number }): void {
  const { sinceStart = 0, runs, ...moved } = tally.unwatched ?? none;
  if (sinceStart === 0) return;
  tally.starts += sinceStart;
  tally.unwatched = { ...moved, runs: runs - sinceStart };
}

/**
 * Standard uncertainty of what came back after a run that moved so much, where no reading shows it: anything from nothing to
 * what a closing valve usually lets through, of so wide a rectangle from zero (GUM 4.3.7).
 */
export function uReturnUnseen_m3(moved_m3: number): number {
  return Math.min(usualClosing_m3, shareOfRun * Math.max(0, moved_m3)) / Math.sqrt(3);
}
