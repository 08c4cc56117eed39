// Sums levels up by ten minutes and by days as readings are sent. Pure; what it remembers goes beside the place up to
// which they have been sent, and a restart carries on from there.

import type { Reading } from "../../../analysis/readings/reading.ts";
import type { LevelSum } from "./level-sum-points.ts";

const lengths_s = [600, 86_400] as const;

/** The ten minutes and the day that the last level fell into, as plain JSON. */
export interface LevelSumsState {
  readonly open: readonly LevelSum[];
}

export interface LevelSums {
  /** @returns what is summed up to its end, ten minutes and with them the day so far; mostly nothing */
  add(reading: Reading): readonly LevelSum[];
  /** Both as they stand, for when nothing more comes: writing them again later is no harm. */
  soFar(): readonly LevelSum[];
  state(): LevelSumsState;
}

/** @param resume from `state()` */
export function levelSums(resume?: LevelSumsState): LevelSums {
  let open: readonly LevelSum[] = resume?.open ?? [];
  return {
    add({ time_s, level_m }) {
      if (level_m === null || !Number.isFinite(level_m)) return [];
      if (time_s < (open[0]?.from_s ?? time_s)) return []; // half a sum would take the place of the whole one
      const level_nm = Math.round(level_m * 1e9);
      const next = lengths_s.map((length_s) => {
        const from_s = Math.floor(time_s / length_s) * length_s;
        const found = open.find((sum) => sum.length_s === length_s && sum.from_s === from_s);
        return found === undefined ? only(from_s, length_s, level_nm) : joined(found, level_nm);
      });
      const moved = open.length > 0 && next[0]?.from_s !== open[0]?.from_s;
      const done = moved ? open : [];
      open = next;
      return done;
    },
    soFar: () => open,
    state: () => ({ open }),
  };
}

function only(from_s: number, length_s: number, level_nm: number): LevelSum {
  return { from_s, length_s, levels: 1, minimum_nm: level_nm, maximum_nm: level_nm, sum_nm: level_nm };
}

function joined(sum: LevelSum, level_nm: number): LevelSum {
  return {
    ...sum,
    levels: sum.levels + 1,
    minimum_nm: Math.min(sum.minimum_nm, level_nm),
    maximum_nm: Math.max(sum.maximum_nm, level_nm),
    sum_nm: sum.sum_nm + level_nm,
  };
}
