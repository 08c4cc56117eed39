// The level while the pump rests: when it has fallen as a pump makes it fall, and since when.

import { noiseOf_m } from "../../readings/roughness.ts";
import type { SteadySignalOutput } from "../by-signal/steady-signal.ts";
import { forgetOldest, letWait, waitingSmooth_m, waitingTime_s } from "../waiting-samples.ts";
import { beginFall, beginsAt_s, noteWithin, type Point, sampleAt } from "./falling-level.ts";
import {
  clearlyOff,
  clearlyOver,
  fallOfRun_m,
  fallWhereRan_m,
  hiding_m,
  type LevelRunsSettings,
  type LevelRunsState,
  leastFall_m,
  longestWaiting,
  noise_m,
  noiseHides,
  quickEnough_ms,
  release,
  releaseBeforeTurn,
  setExtreme,
} from "./level-runs-state.ts";
import { countUpTo, lastBeforeFall, lastBeforeSlowFall, topAfterPeak } from "./level-turns.ts";
import { closeTogether_s } from "./level-window.ts";
import { type LinesMeet, linesMeet } from "./lines-meet.ts";
import { beginCourse, noteCourse } from "./overtaken.ts";
import { lastBefore, startByLines } from "./quick-turns.ts";
import { rest } from "./running-level.ts";
import { deniedByContact, runAsSaid, standsWhileSaid } from "./seldom-contact.ts";
import { between_s, type ToldTurn, turnAsTold } from "./turn-as-told.ts";

/**
 * With unknown floats a fall is a run only where it is read often enough to tell a pump from a gate upstream, or from
 * something in the sensor's way.
 */
const oftenEnough_s = 120;

export function whileResting(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: number,
  level_m: number,
  smooth_m: number,
  output: SteadySignalOutput,
): void {
  const { waiting } = state;
  const said = settings.said ?? null;
  if (smooth_m >= state.extreme_m && !standsWhileSaid(state, said, time_s, smooth_m)) {
    noteLeap(state, settings, time_s, smooth_m);
    releaseBeforeTurn(state, settings, smooth_m, output);
    setExtreme(state, time_s, smooth_m);
    letWait(waiting, time_s, level_m, smooth_m);
    return;
  }
  letWait(waiting, time_s, level_m, smooth_m);
  const ran = said !== null && said.to_s >= state.extremeAt_s;
  const enough_m = ran ? fallWhereRan_m(state, settings) : fallOfRun_m(state, settings);
  if (state.extreme_m - smooth_m >= enough_m) passOverPeak(state, output);
  const fall_m = state.extreme_m - smooth_m;
  const since_s = time_s - state.extremeAt_s;
  const closely = since_s <= oftenEnough_s * waiting.count;
  const quick = settings.swing_m !== null || (closely && fall_m >= quickEnough_ms * since_s);
  if (fall_m >= leastLeap_m(state, settings) && isBackFromLeap(state, time_s, smooth_m)) {
    if (fallsOn(state, smooth_m)) return;
    release(state, waiting.count - 1, output);
    setExtreme(state, time_s, smooth_m);
  } else if (fall_m >= enough_m && quick) {
    if (!deniedByContact(state, said, enough_m)) startRun(state, settings, time_s, smooth_m, output);
  } else if (waiting.count > longestWaiting || tooSlow(settings, since_s, enough_m)) {
    release(state, Math.ceil(waiting.count / 2), output);
    lookFromHighest(state, time_s, smooth_m);
  }
}

/** A leap that is over within so many samples. */
const briefly = 4;
/** From one sample to the next by a share of the fall so far that lies between these; a spike is gone at once. */
const stillFalling = 0.1;
const atOnce = 0.6;

function leastLeap_m(state: LevelRunsState, settings: LevelRunsSettings): number {
  return leastFall_m(state, settings) / 2;
}

function noteLeap(state: LevelRunsState, settings: LevelRunsSettings, time_s: number, smooth_m: number): void {
  if (!(smooth_m - state.extreme_m > leastLeap_m(state, settings))) return;
  // One that goes on from sample to sample is the same.
  if (state.leaptAt_s !== state.extremeAt_s) state.leaptFrom_m = state.extreme_m;
  state.leaptAt_s = time_s;
}

/**
 * Up in one leap and down again within a few samples, to no lower than before: spikes close to each other, for a pump leaves
 * less water than there was. Samples that stand close together are smoothed by more of them, and have no need of this.
 */
function isBackFromLeap(
  { waiting, leaptFrom_m, leaptAt_s, roughness_m }: LevelRunsState,
  time_s: number,
  smooth_m: number,
) {
  const interval_s = time_s - waitingTime_s(waiting, waiting.count - 2);
  if (!(interval_s > closeTogether_s && time_s - leaptAt_s <= briefly * interval_s)) return false;
  return smooth_m >= leaptFrom_m - 3 * noiseOf_m(roughness_m);
}

/** How low it goes is not known yet: a pump may take down what was poured in at once. */
function fallsOn({ waiting, extreme_m }: LevelRunsState, smooth_m: number): boolean {
  const share = (waitingSmooth_m(waiting, waiting.count - 2) - smooth_m) / (extreme_m - smooth_m);
  return share > stillFalling && share < atOnce;
}

/** Two spikes on each other make a peak that no median takes off: the fall is one from where the level was after it. */
function passOverPeak(state: LevelRunsState, output: SteadySignalOutput): void {
  const top = topAfterPeak(state, clearlyOver * noise_m(state));
  if (top < 0) return;
  release(state, top, output);
  setExtreme(state, waitingTime_s(state.waiting, 0), waitingSmooth_m(state.waiting, 0));
}

/** With unknown floats, a fall that has taken longer than the slowest run is no run: look from later on. */
function tooSlow({ swing_m }: LevelRunsSettings, since_s: number, enough_m: number): boolean {
  return swing_m === null && since_s > enough_m / quickEnough_ms;
}

function lookFromHighest(state: LevelRunsState, time_s: number, smooth_m: number): void {
  setExtreme(state, time_s, smooth_m);
  for (let i = 0; i < state.waiting.count; i += 1) {
    const other_m = waitingSmooth_m(state.waiting, i);
    if (other_m > state.extreme_m) setExtreme(state, waitingTime_s(state.waiting, i), other_m);
  }
}

function startRun(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: number,
  smooth_m: number,
  output: SteadySignalOutput,
): void {
  const { waiting } = state;
  const { swing_m } = settings;
  const run = runAsSaid(state, settings.said ?? null);
  const meet = run === null ? turnByLines(state, settings) : null;
  const seemUp = run?.before ?? meet?.before ?? lastUp(state) + 1;
  const turned_s = run === null && meet === null ? quickTurn_s(state, seemUp) : null;
  const seenUp_s = meet?.at_s ?? turned_s ?? (seemUp > 0 ? waitingTime_s(waiting, seemUp - 1) : state.extremeAt_s);
  const told = run === null ? startAsTold(state, settings, seenUp_s, time_s, smooth_m) : null;
  const up = told?.before ?? (turned_s !== null && turned_s < waitingTime_s(waiting, seemUp - 1) ? seemUp - 1 : seemUp);
  const isGone = told === null && up < seemUp;
  const before = up > 0 ? sampleAt(waiting, up - 1) : isGone ? lastBefore(state.fall, waiting) : extremeOf(state);
  release(state, up, output);
  forgetOldest(waiting, told === null ? (meet?.unsure ?? 0) : 0);
  if (waiting.count === 0) return;
  const first = sampleAt(waiting, 0);
  beginFall(state.fall, before, first);
  state.running = true;
  const seen_s = run?.startedAt_s ?? meet?.at_s ?? turned_s ?? startsAt_s(state, before, first, swing_m);
  state.runFrom_s = told === null ? seen_s : between_s(told, seen_s);
  state.runFrom_m = state.extreme_m;
  output.edge(state.runFrom_s, true);
  if (run !== null && run.stoppedAt_s !== null) {
    // What the sensor went on to say of the time before the fall is no level.
    forgetOldest(waiting, run.stood - run.before);
    if (waiting.count > 0) state.fall.stopped = sampleAt(waiting, 0);
    state.cameBack = false;
    rest(state, settings, run.stoppedAt_s, time_s, smooth_m, output);
    return;
  }
  beginCourse(state.overtaken);
  for (let i = 0; swing_m !== null && i < waiting.count; i += 1)
    noteCourse(state.overtaken, waitingTime_s(waiting, i), waitingSmooth_m(waiting, i), swing_m, noise_m(state));
  noteWithin(state.fall, waiting, waiting.count - 1);
  release(state, waiting.count - 1, output);
  setExtreme(state, waitingTime_s(waiting, 0), waitingSmooth_m(waiting, 0));
}

/** @param at_s where the level alone has it start */
function startAsTold(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  at_s: number,
  time_s: number,
  smooth_m: number,
): ToldTurn | null {
  const { waiting, extreme_m, extremeAt_s } = state;
  const pace_ms = (extreme_m - smooth_m) / (time_s - extremeAt_s);
  const unsure_s = (clearlyOff * hiding_m(state, settings)) / pace_ms;
  return turnAsTold(settings.told, true, waiting, { at_s, unsure_s, latest_s: extremeAt_s });
}

function extremeOf({ extremeAt_s, extreme_m }: LevelRunsState): Point {
  return { time_s: extremeAt_s, level_m: extreme_m };
}

/** Of samples far apart, where they tell it. */
function quickTurn_s({ fall, waiting }: LevelRunsState, up: number): number | null {
  const far = waitingTime_s(waiting, 1) - waitingTime_s(waiting, 0) > closeTogether_s;
  return far ? startByLines(fall, waiting, up) : null;
}

/** The last of those that wait that is still up; -1 where none is. */
function lastUp(state: LevelRunsState): number {
  const { waiting } = state;
  const apart_s = waiting.count > 1 ? waitingTime_s(waiting, 1) - waitingTime_s(waiting, 0) : Number.NaN;
  const close = apart_s <= closeTogether_s;
  const near_m = state.extreme_m - 2 * (close ? noise_m(state) : noiseOf_m(state.roughness_m));
  let up = -1;
  for (let i = 0; i < waiting.count - 1; i += 1) {
    if (waitingSmooth_m(waiting, i) >= near_m) up = i;
  }
  up = Math.max(up, lastBeforeFall(state));
  return close ? Math.min(up, lastBeforeSlowFall(state)) : up;
}

/** Where noise lifts some of a slow fall's first samples over the highest again; null where it does not, or what was before is gone. */
function turnByLines(state: LevelRunsState, settings: LevelRunsSettings): LinesMeet | null {
  const { waiting, extreme_m, extremeAt_s } = state;
  const last = waiting.count - 1;
  const last_s = waitingTime_s(waiting, last);
  const pace_ms = (extreme_m - waitingSmooth_m(waiting, last)) / (last_s - extremeAt_s);
  const highest = countUpTo(waiting, extremeAt_s);
  if (highest < fewestBefore || !noiseHides(state, settings, last_s - waitingTime_s(waiting, last - 1), pace_ms))
    return null;
  return linesMeet(waiting, lastUp(state) + 1, clearlyOff * hiding_m(state, settings), -1);
}

/** Fewer samples up to the highest, itself among them, show no rise. */
const fewestBefore = 3;

/**
 * With samples close together the fall is seen as it goes on: it set out where it meets the last level before, as that was
 * read, for the median has worn the peak down; and between the two.
 */
function startsAt_s(state: LevelRunsState, before: Point, within: Point, swing_m: number | null): number {
  if (within.time_s - before.time_s > closeTogether_s) return beginsAt_s(state.fall, before, within, swing_m);
  const { waiting } = state;
  const last = waiting.count - 1;
  const first_m = waitingSmooth_m(waiting, 0);
  const pace_ms = (first_m - waitingSmooth_m(waiting, last)) / (waitingTime_s(waiting, last) - within.time_s);
  const fell_s = (before.level_m - first_m) / pace_ms;
  return fell_s > 0 ? Math.max(before.time_s, within.time_s - fell_s) : within.time_s;
}
