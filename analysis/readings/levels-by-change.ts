// A logger that writes a level down only once it has changed: silence then says that the water stands as it stood, however
// long it lasts. Told by the levels: none is said twice, and many changes are the least that there is. One that also writes
// everything each so many minutes says a level again then, and is missed sooner.

import { areEven, towards } from "../statistics/towards.ts";
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
  /** When a level last came, and when one last said again what the one before said. */
  at_s: number;
  repeatedAt_s: number;
  /** From one look at the sensor to the next, as runs show it. */
  poll_s: number;
  /** For so long the pump has run since the level last came. */
  ran_s: number;
  /** Time between heartbeats, as of the closest of them, and silence before one, as of the longest; 0: not known. */
  betweenBeats_s: number;
  beforeBeat_s: number;
}

function newLevelsByChange(): LevelsByChangeState {
  return {
    last_m: Number.NaN,
    changes: 0,
    least_m: Number.POSITIVE_INFINITY,
    small: 0,
    repeated: 0,
    byChange: false,
    at_s: Number.NaN,
    repeatedAt_s: Number.NEGATIVE_INFINITY,
    poll_s: Number.NaN,
    ran_s: 0,
    betweenBeats_s: 0,
    beforeBeat_s: 0,
  };
}

/** So many changes without a level said twice: by the clock at rest every other one is, or noise makes them of any size. */
const fewest = 40;
const oftenSmall = 0.25;
/** Rows get lost or are written twice, but not so many. */
const tooOften = 0.05;
const memory = 100;
/** Sums of decimals are off by less. */
const rounding_m = 1e-6;

/** No heartbeat comes sooner after another: a level said again sooner is one that is asked for by the clock. Common practice, no source. */
const soonestBeat_s = 240;
/** Steps that settle near the closest or the longest, which one outage or one level said again by chance does not move for long. */
const [beatQuick, beatSlow] = [2, 1.02];
/** A logger of which so many heartbeats are missing is silent. Common practice, no source. */
const beatsMissed = 3;

/** Water that no reading has told of for longer is not known to stand, nor the sensor to be there. Judgement, no source. */
const stillAtMost_s = 86_400;
/** One interval in ten or so is as short as those between looks; in calm water none is for hours. */
const [pollUp, pollDown] = [1.001, 1.5];

type Intervals = Pick<LevelScreenState, "interval_s" | "long_s">;
type Written = Pick<LevelScreenState, "written" | "ranBetween">;

/** The sensor's silence says that the water stands as it stood: not after a run, which would have moved it. */
export function stillByChange({ written, ranBetween }: Written): boolean {
  return written?.byChange === true && ranBetween !== true;
}

/** … for as long as `longestStill_s`; 0: its silence says nothing. */
export function stillFor_s(screen: Written): number {
  return screen.written !== undefined && stillByChange(screen) ? longestStill_s(screen.written) : 0;
}

/** Silence of a logger that writes changes says that there was none until its heartbeat is missing, or for a day. */
export function longestStill_s({ betweenBeats_s, beforeBeat_s }: LevelsByChangeState): number {
  if (betweenBeats_s === 0) return stillAtMost_s;
  return Math.min(stillAtMost_s, beatsMissed * Math.max(betweenBeats_s, beforeBeat_s));
}

/** A steady rise through a sensor's steps is as even as levels by the clock, but in a run its levels come sooner. */
export function comeByTheClock({ written, interval_s, long_s }: Written & Intervals): boolean {
  if (written?.byChange === true || !areEven(interval_s, long_s)) return false;
  return written === undefined || areEven(written.poll_s, interval_s);
}

/**
 * The same, asked after a silence of some seconds.
 *
 * @param byTheClock rows came as regularly as those of a logger that asks by the clock; so do levels where rows that say
 *                   only when the pump switches lie between them
 */
export function provenStill_s(screen: Written & Intervals, byTheClock: boolean): number {
  const { written } = screen;
  if (written === undefined || byTheClock || comeByTheClock(screen)) return stillFor_s(screen);
  if (written.changes >= fewest && written.small > oftenSmall * written.changes) written.byChange = true;
  return stillFor_s(screen);
}

/** Takes the next level as it was written. */
export function noteLevelWritten(screen: Written, time_s: number, level_m: number): void {
  screen.written ??= newLevelsByChange();
  note(screen.written, time_s, level_m);
}

/** … and many, one after the other, of which the first `skipped` were taken before; the times are those of the others. */
export function noteLevelsWritten(
  screen: Written,
  time_s: ArrayLike<number>,
  level_m: ArrayLike<number>,
  skipped: number,
  count: number,
): void {
  screen.written ??= newLevelsByChange();
  for (let i = 0; i < count; i += 1) note(screen.written, time_s[i] as number, level_m[skipped + i] as number);
}

function note(state: LevelsByChangeState, time_s: number, level_m: number): void {
  const change_m = Math.abs(level_m - state.last_m);
  state.last_m = level_m;
  const silent_s = time_s - state.at_s;
  state.at_s = time_s;
  state.ran_s = 0;
  if (change_m < rounding_m) {
    const between_s = time_s - state.repeatedAt_s;
    state.repeatedAt_s = time_s;
    if (between_s >= soonestBeat_s) {
      noteBeat(state, between_s, silent_s);
      return;
    }
    state.repeated += (1 - state.repeated) / memory;
    if (state.repeated > tooOften) state.byChange = false;
    state.changes = 0;
    state.small = 0;
    state.least_m = Number.POSITIVE_INFINITY;
  } else if (change_m >= rounding_m) {
    state.repeated -= state.repeated / memory;
    if (silent_s > 0)
      state.poll_s = Number.isNaN(state.poll_s) ? silent_s : towards(state.poll_s, silent_s, pollUp, pollDown);
    noteChange(state, change_m);
  }
}

/** A logger's heartbeat comes so long after the one before, whatever was written in between, or after the latest row. */
function noteBeat(state: LevelsByChangeState, between_s: number, silent_s: number): void {
  const { betweenBeats_s, beforeBeat_s } = state;
  state.beforeBeat_s = towards(beforeBeat_s === 0 ? silent_s : beforeBeat_s, silent_s, beatQuick, beatSlow);
  if (!Number.isFinite(between_s)) return;
  state.betweenBeats_s = towards(betweenBeats_s === 0 ? between_s : betweenBeats_s, between_s, beatSlow, beatQuick);
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
