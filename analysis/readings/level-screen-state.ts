// What is remembered of the level sensor, and the range in which its levels may lie.

import type { LevelsByChangeState } from "./levels-by-change.ts";
import { newOutOfWater, type OutOfWaterState } from "./out-of-water.ts";
import { newStillLevel, type StillLevelState } from "./still-level.ts";

export interface LevelScreenState {
  /** How levels are written down; absent before the first. */
  written?: LevelsByChangeState;
  seen: boolean;
  last_m: number;
  last_s: number;
  /** Typical interval between levels. */
  interval_s: number;
  /** An interval that one in twenty exceeds. */
  long_s: number;
  /** From how many intervals both are learned, counted up to where they are known; absent: none. */
  intervals?: number;
  /** Smallest step seen between two levels. */
  resolution_m: number;
  /** The latest five levels, oldest first, at the end of the five places; how many there are. */
  readonly recent_m: Float64Array;
  recent: number;
  /** Levels since the sensor was last silent, up to as many as make the steady level theirs: before, it is that of then. */
  sinceSilence: number;
  /** How often the same value has come in a row, since when, and the longest such row of a sensor that was well. */
  repeats: number;
  repeatsFrom_s: number;
  /** The value that is repeated was reached in one leap. */
  leapt: boolean;
  /** By how much the level last leapt up, and when; 0 once it has fallen by about as much again. */
  leap_m: number;
  leapAt_s: number;
  /** What it read before that. */
  leapFrom_m: number;
  /** The leap before it, as long as either may be a spike; absent: none. */
  leapBefore_m?: number;
  leapBeforeAt_s?: number;
  /** The latest fall has been taken for the end of a leap; absent: it has not. */
  fallCounted?: boolean;
  longestRepeats: number;
  /** Running share of levels equal to the one before; taken as all of them until the sensor has been seen to move. */
  equalShare: number;
  /** Whether it last changed downwards, and the share of changes that went the other way than the one before. */
  wentDown: boolean;
  turnShare: number;
  /** Whether it last went on downwards, twice in a row, and the share of changes that went on the other way than before; absent: none. */
  wentOnDown?: boolean;
  acrossShare?: number;
  /** Running shares of levels that were out of range or far off their neighbours, and of silences. */
  wildShare: number;
  outShare: number;
  /** Shares of readings that carried a level: in the long run, and lately. */
  rowShare: number;
  lateRowShare: number;
  outOfRange: boolean;
  /** A row without a level has said since the latest level that the pump runs; absent: not known. */
  ranBetween?: boolean;
  /** Whether the pump runs, as its signal says, and so many levels ago at the most it began or ended; absent: no signal tells. */
  pumpOn?: boolean | null;
  sinceSwitch?: number;
  /** When the signal last changed, and when before that. */
  changedAt_s?: number;
  changedBefore_s?: number;
  silences: number;
  /** Running median of |second difference|. */
  roughness_m: number;
  /** The value has stood too long for this sensor: kept from the fits at once, called a fault after a while. */
  standing: boolean;
  /** Whence the value that is repeated was fallen to at once; NaN where it was not. */
  fellFrom_m: number;
  /** … and by more than the pump can have moved meanwhile; absent: it was not. */
  fellByNoPump?: boolean;
  /** The lowest level at which one of the latest runs stopped; NaN before enough of them have shown it. */
  lowestStop_m: number;
  /** Runs of the pump through which the value has stood, and when the last of them ended. */
  stoodThroughRuns: number;
  lastStoodThrough_s: number;
  frozen: boolean;
  readonly outOfWater: OutOfWaterState;
  readonly still: StillLevelState;
}

export function newLevelScreen(): LevelScreenState {
  return {
    seen: false,
    last_m: Number.NaN,
    last_s: Number.NaN,
    interval_s: Number.NaN,
    long_s: Number.NaN,
    resolution_m: Number.POSITIVE_INFINITY,
    recent_m: new Float64Array(5),
    recent: 0,
    sinceSilence: 0,
    repeats: 0,
    repeatsFrom_s: Number.NaN,
    leapt: false,
    leap_m: 0,
    leapFrom_m: Number.NaN,
    leapAt_s: Number.NEGATIVE_INFINITY,
    leapBefore_m: 0,
    leapBeforeAt_s: Number.NEGATIVE_INFINITY,
    fallCounted: false,
    longestRepeats: 4,
    equalShare: 1,
    wentDown: false,
    turnShare: 0,
    wildShare: 0,
    outShare: 0,
    rowShare: 0,
    lateRowShare: 1,
    outOfRange: false,
    ranBetween: false,
    silences: 0,
    roughness_m: 0,
    standing: false,
    fellFrom_m: Number.NaN,
    fellByNoPump: false,
    lowestStop_m: Number.NaN,
    stoodThroughRuns: 0,
    lastStoodThrough_s: Number.NEGATIVE_INFINITY,
    frozen: false,
    outOfWater: newOutOfWater(),
    still: newStillLevel(),
  };
}

export interface LevelRange {
  readonly lowest_m: number;
  readonly highest_m: number;
  /** Where water runs over; absent: not given, or it does not. */
  readonly rim_m?: number;
}
