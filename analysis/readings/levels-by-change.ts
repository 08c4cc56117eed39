// A logger that writes a level down only once it has changed: silence then says that the water stands as it stood, however
// long it lasts. Told by the levels: none is said twice, and most changes are the least that there is.

import type { LevelScreenState } from "./level-screen-state.ts";

export interface LevelsByChangeState {
  last_m: number;
  /** Changes since a level was last said twice, the least of them, and how many were less than twice that. */
  changes: number;
  least_m: number;
  small: number;
  /** Share of levels, of late, that only say again what the one before said. */
  repeated: number;
  byChange: boolean;
}

function newLevelsByChange(): LevelsByChangeState {
  return { last_m: Number.NaN, changes: 0, least_m: Number.POSITIVE_INFINITY, small: 0, repeated: 0, byChange: false };
}

/** So many changes without a level said twice: by the clock at rest every other one is, or noise makes them of any size. */
const fewest = 40;
const mostlySmall = 0.5;
/** Rows get lost or are written twice, but not so many. */
const tooOften = 0.05;
const memory = 100;
/** Sums of decimals are off by less. */
const rounding_m = 1e-6;

/** Water that no reading has told of for longer is not known to stand, nor the sensor to be there. Judgement, no source. */
export const longestStill_s = 86_400;

type Written = Pick<LevelScreenState, "written" | "ranBetween">;

/** The sensor's silence says that the water stands as it stood: not after a run, which would have moved it. */
export function stillByChange({ written, ranBetween }: Written): boolean {
  return written?.byChange === true && ranBetween !== true;
}

/**
 * The same, asked after a silence of some seconds.
 *
 * @param byTheClock rows came as regularly as those of a logger that asks by the clock
 */
export function provesByChange(screen: Written, byTheClock: boolean): boolean {
  const { written } = screen;
  if (
    written !== undefined &&
    !byTheClock &&
    written.changes >= fewest &&
    written.small > mostlySmall * written.changes
  )
    written.byChange = true;
  return stillByChange(screen);
}

/** Takes the next level as it was written. */
export function noteLevelWritten(screen: Written, level_m: number): void {
  screen.written ??= newLevelsByChange();
  note(screen.written, level_m);
}

/** … and many, one after the other. */
export function noteLevelsWritten(screen: Written, level_m: ArrayLike<number>, from: number, to: number): void {
  screen.written ??= newLevelsByChange();
  for (let i = from; i < to; i += 1) note(screen.written, level_m[i] as number);
}

function note(state: LevelsByChangeState, level_m: number): void {
  const change_m = Math.abs(level_m - state.last_m);
  state.last_m = level_m;
  if (change_m < rounding_m) {
    state.repeated += (1 - state.repeated) / memory;
    if (state.repeated > tooOften) state.byChange = false;
    state.changes = 0;
    state.small = 0;
    state.least_m = Number.POSITIVE_INFINITY;
  } else if (change_m >= rounding_m) {
    state.repeated -= state.repeated / memory;
    noteChange(state, change_m);
  }
}

function noteChange(state: LevelsByChangeState, change_m: number): void {
  if (change_m < state.least_m - rounding_m) {
    // What was small beside a greater one need not be beside this.
    if (!(change_m > state.least_m / 2)) {
      state.changes = 0;
      state.small = 0;
    }
    state.least_m = change_m;
  }
  state.changes += 1;
  if (change_m < 2 * state.least_m - rounding_m) state.small += 1;
}
