// A logger that writes a level down only once it has changed: silence then says that the water stands as it stood, however
// long it lasts. Told by the levels: none is said twice, and most changes are the least that there is.

import type { LevelScreenState } from "./level-screen-state.ts";

export interface LevelsByChangeState {
  /** Levels that came, of those in a row that tell; and the newest. */
  seen: number;
  last_m: number;
  /** The least change among them, and how many were less than twice that. */
  least_m: number;
  small: number;
  /** Share of levels, of late, that only say again what the one before said. */
  repeated: number;
  byChange: boolean;
}

function newLevelsByChange(): LevelsByChangeState {
  return { seen: 0, last_m: Number.NaN, least_m: Number.POSITIVE_INFINITY, small: 0, repeated: 0, byChange: false };
}

/** So many changes without a level said twice: by the clock at rest every other one is, or noise makes them of any size. */
const fewest = 40;
const mostlySmall = 0.5;
/** Rows get lost or are written twice, but not so many. */
const tooOften = 0.05;
const memory = 100;
/** Sums of decimals are off by less. */
const rounding_m = 1e-6;

/** The sensor's silence says that the water stands as it stood: not after a run, which would have moved it. */
export function stillByChange({ written, ranBetween }: Pick<LevelScreenState, "written" | "ranBetween">): boolean {
  return written?.byChange === true && ranBetween !== true;
}

/**
 * Takes the next level as it was written.
 *
 * @param byTheClock rows come as regularly as those of a logger that asks by the clock
 */
export function noteLevelWritten(
  screen: Pick<LevelScreenState, "written">,
  level_m: number,
  byTheClock: boolean,
): void {
  screen.written ??= newLevelsByChange();
  const state = screen.written;
  const change_m = Math.abs(level_m - state.last_m);
  state.last_m = level_m;
  if (Number.isNaN(change_m)) return;
  const again = change_m < rounding_m;
  state.repeated += (Number(again) - state.repeated) / memory;
  if (state.repeated > tooOften) state.byChange = false;
  if (again || state.byChange) {
    if (again) restart(state);
    return;
  }
  if (change_m < state.least_m - rounding_m) {
    // What was small beside a greater one need not be beside this.
    const small = change_m > state.least_m / 2 ? state.small : 0;
    Object.assign(state, { least_m: change_m, small, seen: small > 0 ? state.seen : 0 });
  }
  state.seen += 1;
  if (change_m < 2 * state.least_m - rounding_m) state.small += 1;
  if (state.seen >= fewest && state.small > mostlySmall * state.seen && !byTheClock) state.byChange = true;
}

function restart(state: LevelsByChangeState): void {
  Object.assign(state, { seen: 0, small: 0, least_m: Number.POSITIVE_INFINITY });
}
