// Levels that only jump about, by where they stand: beyond where the floats let the water come.

import type { Mark, SparseContext } from "./over-stretch.ts";

/** So far beyond the floats, and off both levels beside it, as shares of what lies between them; so many are no single spike. */
const beyond = 0.15;
const alone = 0.25;
const fewestWild = 2;
const mostWild = 0.05;

/**
 * Levels that stand alone beyond the floats' are no water of a pump that goes on and off between them: foam, or a sensor
 * that jumps about, makes a stretch of such levels tell of cycles that there never were.
 *
 * @param from place of the stretch's first reading
 */
export function tossesAbout(
  marks: readonly Mark[],
  from: number,
  { active_m3, stop_m3 }: Pick<SparseContext, "active_m3" | "stop_m3">,
): boolean {
  if (active_m3 === null || stop_m3 === null) return false;
  const [lowest_m3, highest_m3] = [stop_m3 - beyond * active_m3, stop_m3 + (1 + beyond) * active_m3];
  const first = Math.max(1, from);
  let wild = 0;
  for (let i = first; i < marks.length - 1; i += 1) {
    const [before_m3, now_m3, after_m3] = [volumeAt(marks, i - 1), volumeAt(marks, i), volumeAt(marks, i + 1)];
    const over = now_m3 > highest_m3 && now_m3 > Math.max(before_m3, after_m3) + alone * active_m3;
    const under = now_m3 < lowest_m3 && now_m3 < Math.min(before_m3, after_m3) - alone * active_m3;
    if (over || under) wild += 1;
  }
  return wild >= fewestWild && wild > mostWild * (marks.length - first);
}

function volumeAt(marks: readonly Mark[], i: number): number {
  return marks[i]?.volume_m3 ?? Number.NaN;
}
