// A pump whose float holds it on when the water is gone, by readings too far apart to follow its runs: the time that it was
// seen to run says nothing of what it moves.

import type { Mark, SparseContext } from "./over-stretch.ts";

/** So far under where the float opens, as a share of what lies between the floats, no pump that stops there is seen to run … */
const under = 0.1;
/** … nor within so many standard deviations of a reading. Judgement, no source. */
const clearly = 3;
/** Readings in a row, through which it falls by no more than so much of that. */
const fewest = 3;
const falls = 0.03;

type BetweenFloats = Pick<SparseContext, "active_m3" | "stop_m3" | "noise_m3">;

/** Whether the pump was seen to run on, with the water down, at some of these readings. @param from the oldest that count */
export function ranDry(marks: readonly Mark[], from: Mark, context: BetweenFloats): boolean {
  let down = 0;
  for (let i = 0; i < marks.length; i += 1) {
    const mark = marks[i] as Mark;
    down = mark.time_s >= from.time_s && isDry(mark, context) ? down + 1 : 0;
    if (down >= fewest && isStill(marks[i - fewest + 1] as Mark, mark, context)) return true;
  }
  return false;
}

/** A pump that finds water lowers it on: its float opens lower down than is stated. */
function isStill(before: Mark, now: Mark, { active_m3, noise_m3 }: BetweenFloats): boolean {
  return before.volume_m3 - now.volume_m3 <= Math.max(falls * (active_m3 ?? 0), clearly * noise_m3);
}

/** The pump runs, and the water is far under where any float opens; by a contact that says so. */
export function isDry({ on, volume_m3 }: Mark, { active_m3, stop_m3, noise_m3 }: BetweenFloats): boolean {
  if (on !== true || active_m3 === null || stop_m3 === null) return false;
  return volume_m3 < stop_m3 - Math.max(under * active_m3, clearly * noise_m3);
}
