// A float that chatters, by readings that miss most of its switches: the pump starts again though the water was not drawn
// down meanwhile. No cycle goes from start to start.

import type { Mark } from "./over-stretch.ts";

/** Readings that see each run see at least this share of what lies between the floats go out. Judgement, no source. */
const drawnAtLeast = 0.25;
/** A single one may be a hand on the float. */
const fewest = 2;

/**
 * Whether the pump starts with this volume without having drawn the water down since the start before it.
 *
 * @param marks up to the reading before, oldest first; close enough together for no run to go by between two
 */
export function isFlutter(marks: readonly Mark[], volume_m3: number, active_m3: number): boolean {
  const starts = marks.at(-1)?.starts ?? 0;
  let [lowest_m3, highest_m3] = [volume_m3, volume_m3];
  for (let i = marks.length - 1; i >= 0 && starts > 0; i -= 1) {
    const mark = marks[i] as Mark;
    lowest_m3 = Math.min(lowest_m3, mark.volume_m3);
    highest_m3 = Math.max(highest_m3, mark.volume_m3);
    if (highest_m3 - lowest_m3 > drawnAtLeast * active_m3) return false;
    if (mark.starts < starts) return true;
  }
  return false;
}

/** Of the readings from one to another: neither cycles nor the time that the pump was seen to run tell what came in. */
export function flutters(from: Mark, to: Mark): boolean {
  return to.flutters - from.flutters >= fewest;
}
