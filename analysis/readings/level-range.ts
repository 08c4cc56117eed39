// Between which levels a reading may be one of the water in this basin.

import type { BasinSite } from "../site.ts";
import type { LevelRange } from "./level-screen-state.ts";

/** Sensors read a little under the bottom and over the rim; far beyond either is no water level. */
const below_m = 0.1;
const above_m = 0.5;
/** No basin is deeper: what a basin of unknown depth cannot hold either. */
const deepest_m = 100;

export function levelRange({ overflowLevel_m, depth_m }: Pick<BasinSite, "overflowLevel_m" | "depth_m">): LevelRange {
  const top_m = Math.max(overflowLevel_m ?? 0, depth_m ?? 0);
  return {
    lowest_m: -below_m,
    highest_m: top_m > 0 ? top_m + above_m : deepest_m,
    ...(overflowLevel_m !== null && { rim_m: overflowLevel_m }),
  };
}

/** The same while nothing runs over: a float that water lifts before it does is down. */
export function underRim({ lowest_m, highest_m }: LevelRange): LevelRange {
  return { lowest_m, highest_m };
}
