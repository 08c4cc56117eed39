// Rain from a list of another gauge: each row a time and the depth up to it, at even steps or only where it rained.

import { medianInPlace } from "../statistics/median.ts";
import type { RainStretch } from "./rain.ts";

export interface RainRow {
  /** End of the time in which it fell. */
  readonly time_s: number;
  readonly rain_m: number;
}

/** So many steps without a row, in a list that also says when it was dry, and nobody knows. */
const missed = 3;

/**
 * A depth covers the time since the row before, as far as that is three usual steps of the list. Where it has rows of no rain,
 * a longer silence is a gap; where it has none, it only speaks of rain, and between its rows it was dry.
 *
 * @param rows in any order; of two of one time both count; what is no depth (below 0, not finite) is left out
 * @returns stretches in order of time; null with fewer than two rows, which tell no step
 */
export function rainFromRows(rows: readonly RainRow[]): RainStretch[] | null {
  const known = joined(rows);
  const steps = known.slice(1).map(({ time_s }, i) => time_s - (known[i] as RainRow).time_s);
  if (steps.length === 0) return null;
  const usual_s = medianInPlace([...steps]);
  const onlyWet = known.every(({ rain_m }) => rain_m > 0);
  const stretches: RainStretch[] = [];
  known.forEach(({ time_s, rain_m }, i) => {
    const before_s = i === 0 ? time_s - usual_s : (known[i - 1] as RainRow).time_s;
    const gap = !onlyWet && time_s - before_s > missed * usual_s;
    const from_s = Math.max(before_s, time_s - (gap || onlyWet ? usual_s : missed * usual_s));
    if (onlyWet && from_s > before_s) stretches.push({ from_s: before_s, to_s: from_s, rain_m: 0 });
    stretches.push({ from_s, to_s: time_s, rain_m });
  });
  return stretches;
}

function joined(rows: readonly RainRow[]): RainRow[] {
  const depths = new Map<number, number>();
  for (const { time_s, rain_m } of rows) {
    if (!Number.isFinite(time_s) || !(rain_m >= 0 && Number.isFinite(rain_m))) continue;
    depths.set(time_s, (depths.get(time_s) ?? 0) + rain_m);
  }
  return [...depths].map(([time_s, rain_m]) => ({ time_s, rain_m })).sort((a, b) => a.time_s - b.time_s);
}
