// What the rules were asked about last, and whether something has come up since: of the look-out, what a restart keeps, so
// that nothing is looked at once more for it.

import type { LevelProblem } from "../readings/level-problem.ts";

export interface LookedOutState {
  /** Something has come up that no rule has been asked about yet. */
  news: boolean;
  levelProblem: LevelProblem | null;
  closelyRead: boolean;
  flickers: number;
}

export function newLookedOut(): LookedOutState {
  return { news: true, levelProblem: null, closelyRead: false, flickers: 0 };
}
