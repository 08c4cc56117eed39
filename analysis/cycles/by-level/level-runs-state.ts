// What is remembered of runs that are read off the level, and how far the level must fall for one.

import { noiseOf_m } from "../../readings/roughness.ts";
import { noSample, type SteadySignalOutput } from "../by-signal/steady-signal.ts";
import {
  forgetOldest,
  nothingWaits,
  type WaitingSamples,
  waitingLevel_m,
  waitingSmooth_m,
  waitingTime_s,
} from "../waiting-samples.ts";
import { type FallingLevel, newFallingLevel } from "./falling-level.ts";
import { type LevelWindow, newLevelWindow, seenSwing_m } from "./level-window.ts";
import { newOvertaken, type OvertakenState } from "./overtaken.ts";
import type { SaidToRun } from "./seldom-contact.ts";
import { countBefore, type Said, saidSince_s } from "./turn-as-told.ts";

export interface LevelRunsState extends LevelWindow {
  running: boolean | null;
  /** Samples since the extreme, whose rest or run is not decided yet. */
  readonly waiting: WaitingSamples;
  extreme_m: number;
  extremeAt_s: number;
  runFrom_s: number;
  runFrom_m: number;
  /** Whence and when the level rose to its highest in one leap; NaN where it did not. */
  leaptFrom_m: number;
  leaptAt_s: number;
  /** The level was back up when the last run was seen to end: two spikes in a row look like a run, and leave no water gone. */
  cameBack: boolean;
  /** … and a level was read on the way up: of spikes none is. */
  roseByAndBy: boolean;
  /** Noise hid where the latest run ended: the samples about a turn are kept, for it is told by those on both sides. */
  turnsHidden: boolean;
  /** What the runs so far have shown of how the level falls, and of the one under way where samples stand far apart. */
  readonly fall: FallingLevel;
  /** … and of how it turns when the pump stops. */
  readonly overtaken: OvertakenState;
}

export function newLevelRuns(): LevelRunsState {
  return {
    ...newLevelWindow(),
    running: null,
    waiting: nothingWaits(),
    extreme_m: Number.NaN,
    extremeAt_s: Number.NaN,
    runFrom_s: Number.NaN,
    runFrom_m: Number.NaN,
    leaptFrom_m: Number.NaN,
    leaptAt_s: Number.NaN,
    cameBack: false,
    roseByAndBy: false,
    turnsHidden: false,
    fall: newFallingLevel(),
    overtaken: newOvertaken(),
  };
}

export interface LevelRunsSettings {
  /** Between the pump's float levels; null when unknown. */
  readonly swing_m: number | null;
  /** A step of the sensor; Infinity or absent before one is known. */
  readonly resolution_m?: number;
  /** What a contact says that is asked too seldom to time the runs; null or absent where none does. */
  readonly said?: SaidToRun | null;
  /** What contact or float has said of late, oldest first; absent where neither is heard. */
  readonly told?: readonly Said[];
}

/** A fall counts as a run when it is so large a part of the swing between the floats … */
const shareOfSwing = 0.6;
/** … a smaller one where a contact said 'runs' meanwhile: water that pours in has hidden the rest of it … */
const shareWhereRan = 0.2;
/** … or, with unknown floats, so deep and so quick: groundwater, tides and evaporation are slower than any pump. */
const deepEnough_m = 0.025;
/**
 * … and so much of how far the level has gone up and down, where samples far apart keep all but single spikes: cycles of which
 * one went twice as far, as after a power cut, are runs still. Judgement, no source.
 */
const shareOfSeen = 0.5;
export const quickEnough_ms = 0.00005;
export const longestWaiting = 4096;
/** Standard deviations of the level freed of noise. */
export const clearlyOver = 4;
/** … and of one level, which then is a spike. Judgement, no source. */
export const clearlyOff = 6;

export function setExtreme(state: LevelRunsState, time_s: number, smooth_m: number): void {
  state.extreme_m = smooth_m;
  state.extremeAt_s = time_s;
}

export function release({ waiting }: LevelRunsState, count: number, output: SteadySignalOutput): void {
  if (output.sample !== noSample)
    for (let i = 0; i < count; i += 1) output.sample(waitingTime_s(waiting, i), waitingLevel_m(waiting, i));
  forgetOldest(waiting, count);
}

/**
 * Of a way that noise, or a step, hides from one sample to the next, so many standard deviations show how it goes; and of samples
 * so many on either side of a turn. Judgement, no source.
 */
export const turnShows = 10;
export const mostBeside = 50;

/** Lets those go that wait, but for the last of them where noise hides the turn to come. */
export function releaseBeforeTurn(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  smooth_m: number,
  output: SteadySignalOutput,
): void {
  const { waiting } = state;
  let first = waiting.count;
  if (state.turnsHidden && output.sample !== noSample) {
    const from = Math.max(0, waiting.count - mostBeside);
    const least_m = smooth_m - turnShows * hiding_m(state, settings);
    while (first > from && waitingSmooth_m(waiting, first - 1) >= least_m) first -= 1;
  }
  release(state, Math.min(first, upToTurn(state, settings, true)), output);
}

/**
 * How many of those that wait are surely let go: where contact or float has said of late that the level turns, those up to there
 * but for the last; else all.
 */
export function upToTurn({ waiting }: LevelRunsState, { told }: LevelRunsSettings, on: boolean): number {
  const since_s = saidSince_s(told, on);
  if (Number.isNaN(since_s)) return waiting.count;
  const before = countBefore(waiting, since_s);
  return before > 0 && waiting.count - before <= mostBeside ? before - 1 : waiting.count;
}

export function fallOfRun_m(state: LevelRunsState, settings: LevelRunsSettings): number {
  return Math.max(leastFall_m(state, settings), settings.swing_m === null ? 8 * noise_m(state) : 5 * noise_m(state));
}

export function fallWhereRan_m(state: LevelRunsState, settings: LevelRunsSettings): number {
  const least_m = Math.max(9 * noise_m(state), shareWhereRan * (settings.swing_m ?? Number.POSITIVE_INFINITY));
  return Math.min(fallOfRun_m(state, settings), least_m);
}

export function leastFall_m(state: LevelRunsState, { swing_m }: LevelRunsSettings): number {
  if (swing_m !== null) return shareOfSwing * swing_m;
  return Math.max(deepEnough_m, shareOfSeen * (seenSwing_m(state) ?? 0));
}

/** Of the median of five. */
export function noise_m({ roughness_m }: LevelRunsState): number {
  return 0.54 * noiseOf_m(roughness_m);
}

/** Rounded to a step, a level is off by as much as half of it (uniform: GUM 4.3.7). */
export function uRounding_m({ resolution_m = 0 }: LevelRunsSettings): number {
  return Number.isFinite(resolution_m) ? resolution_m / Math.sqrt(12) : 0;
}

/** From one sample to the next the level goes no further than noise, or a step, may lay them apart: how it goes shows of many alone. */
export function noiseHides(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  interval_s: number,
  pace_ms: number,
): boolean {
  return pace_ms * interval_s < clearlyOver * hiding_m(state, settings);
}

/** By how much one level may be off. */
export function hiding_m({ roughness_m }: LevelRunsState, settings: LevelRunsSettings): number {
  return Math.max(noiseOf_m(roughness_m), uRounding_m(settings));
}
