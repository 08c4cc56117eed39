// A level that only trembles: it stays where it is while the pump starts and stops again and again, though each run should
// have lowered the water and each rest raised it. No water does that; the sensor has come to a standstill, with its noise.

export interface StillLevelState {
  /** Where the level stood at the latest switches, by as much as `near_m`. */
  at_m: number;
  near_m: number;
  /** Whole runs through which it has stood so; and whether that is enough to say so. */
  runs: number;
  sure: boolean;
  /** It stood so through the run that ended at the latest stop. */
  stoodThroughRun: boolean;
  startedAt_s: number;
  stoppedAt_s: number;
}

export function newStillLevel(): StillLevelState {
  return {
    at_m: Number.NaN,
    near_m: 0,
    runs: 0,
    sure: false,
    stoodThroughRun: false,
    startedAt_s: Number.NaN,
    stoppedAt_s: Number.NEGATIVE_INFINITY,
  };
}

/** What is known at a switch of the pump. */
export interface LevelAtSwitch {
  readonly time_s: number;
  readonly on: boolean;
  /** The newest levels, the very newest last: a switch may be seen when the run that it began has nearly ended. */
  readonly levels_m: Float64Array;
  readonly noise_m: number;
  readonly startLevel_m: number;
  readonly stopLevel_m: number;
  /** By how much the pump lowers the water in a second; NaN before that is known. */
  readonly lowers_ms: number;
  /** The pump's own float, where it is told of. */
  readonly floatOn: boolean | null;
}

/** Runs through which the level stands before that is told; and where it stands low, as in a basin where a pump is tried. */
const throughRuns = 3;
const throughRunsWhenLow = 4;
const soonAfter_s = 10_800;
/** A briefer run is a switch that chatters. */
const shortest_s = 8;
/** Standard deviations of a level; share of the way between the float's levels; and the least. */
const near = 6;
const nearOfSwing = 0.05;
const nearest_m = 0.004;
/** A sensor so much noisier shows no standstill. */
const mostOfSwing = 0.2;
/** A run should have lowered the water by so many times as much. */
const clearly = 4;
/** About the start level a pump stands that does not empty the basin, and is switched off by its own heat. */
const aboutStart_m = 0.05;
const low_m = 0.03;

/** Takes the levels at the next start or stop of the pump, told by its signal. */
export function noteSwitch(state: StillLevelState, at: LevelAtSwitch): void {
  const level_m = at.levels_m[at.levels_m.length - 1] ?? Number.NaN;
  const swing_m = at.startLevel_m - at.stopLevel_m;
  const near_m = Math.max(nearest_m, nearOfSwing * swing_m, near * at.noise_m);
  // What stood there by a noise as wide as the swing would stand so for ever, though the noise has gone since.
  const at_m = near_m <= mostOfSwing * swing_m ? level_m : Number.NaN;
  const stays = !Number.isNaN(at_m) && at.levels_m.every((one_m) => isNear(state, one_m));
  if (!stays) Object.assign(state, { at_m, near_m, runs: 0, sure: false, startedAt_s: Number.NaN });
  if (at.on) {
    // Of levels that come after the start the newest may be where the run has drawn the water down to, and a pump that runs
    // dry then holds it: only where those before it are alike has it stood since before the run.
    const stood = at.levels_m.every((one_m) => isNear(state, one_m));
    state.startedAt_s = stood ? at.time_s : Number.NaN;
    return;
  }
  const run_s = at.time_s - state.startedAt_s;
  const low = level_m < at.stopLevel_m - low_m;
  if (low && state.startedAt_s - state.stoppedAt_s > soonAfter_s) state.runs = 0;
  state.stoodThroughRun = run_s >= shortest_s && shouldHaveFallen(at, level_m, run_s, near_m);
  if (state.stoodThroughRun) state.runs += 1;
  state.sure = state.runs >= (low ? throughRunsWhenLow : throughRuns);
  state.stoppedAt_s = at.time_s;
}

/** Whether the sensor has come to a standstill, and still says the same: one level alone may be a spike. */
export function standsStill(state: StillLevelState, level_m: number, steady_m: () => number | null): boolean {
  if (!state.sure) return false;
  return isNear(state, level_m) || isNear(state, steady_m() ?? level_m);
}

function isNear({ at_m, near_m }: StillLevelState, level_m: number): boolean {
  return Math.abs(level_m - at_m) <= near_m;
}

function shouldHaveFallen(at: LevelAtSwitch, level_m: number, run_s: number, near_m: number): boolean {
  if (at.floatOn !== false && level_m > at.startLevel_m - aboutStart_m) return false;
  // Before anything is known of the pump, the float alone says that the water went from one of its levels to the other.
  if (Number.isNaN(at.lowers_ms)) return Math.abs(level_m - at.startLevel_m) > aboutStart_m;
  return at.lowers_ms * run_s > clearly * near_m;
}
