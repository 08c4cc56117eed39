// Pump runs read off the level alone, for a recording without a pump signal: the level turns from rising to falling by
// more than noise can, and back. Edges come a little late but carry the time of the turn.

import { learnRoughness, noiseOf_m } from "../readings/roughness.ts";
import { medianOfFive } from "../statistics/median.ts";
import {
  beginFall,
  beginsAt_s,
  type FallingLevel,
  forgetCourse,
  newFallingLevel,
  noteWithin,
  type Point,
  sampleAt,
  stopsAt_s,
} from "./falling-level.ts";
import { beforeRise_s, countUpTo, lastBeforeFall, lastBeforeSlowFall, topAfterPeak } from "./level-turns.ts";
import { closeTogether_s, farApart_s, five, type LevelWindow, newLevelWindow, throughWindow } from "./level-window.ts";
import { runAsSaid, type SaidToRun, standsWhileSaid } from "./seldom-contact.ts";
import { noSample, type SteadySignalOutput } from "./steady-signal.ts";
import {
  forgetOldest,
  letWait,
  nothingWaits,
  type WaitingSamples,
  waitingLevel_m,
  waitingSmooth_m,
  waitingTime_s,
} from "./waiting-samples.ts";

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
  /** The last sample that was clearly above the lowest. */
  lastFalling_s: number;
  /** What the runs so far have shown of how the level falls, and of the one under way where samples stand far apart. */
  readonly fall: FallingLevel;
}

export function newLevelRuns(): LevelRunsState {
  return {
    running: null,
    ...newLevelWindow(),
    waiting: nothingWaits(),
    extreme_m: Number.NaN,
    extremeAt_s: Number.NaN,
    runFrom_s: Number.NaN,
    runFrom_m: Number.NaN,
    leaptFrom_m: Number.NaN,
    leaptAt_s: Number.NaN,
    cameBack: false,
    lastFalling_s: Number.NaN,
    fall: newFallingLevel(),
  };
}

export interface LevelRunsSettings {
  /** Between the pump's float levels; null when unknown. */
  readonly swing_m: number | null;
  /** What a contact says that is asked too seldom to time the runs; null or absent where none does. */
  readonly said?: SaidToRun | null;
}

/** A fall counts as a run when it is so large a part of the swing between the floats … */
const shareOfSwing = 0.6;
/** … a smaller one where a contact said 'runs' meanwhile: water that pours in has hidden the rest of it … */
const shareWhereRan = 0.2;
/** … or, with unknown floats, so deep and so quick: groundwater, tides and evaporation are slower than any pump. */
const deepEnough_m = 0.025;
const quickEnough_ms = 0.00005;
/** … and read often enough to tell a pump from a gate upstream or something in the sensor's way. */
const oftenEnough_s = 120;
/** A run is over when the level has risen again by so much of the fall that makes one. */
const shareOfFall = 0.75;
const longestWaiting = 4096;

export function feedLevel(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: number,
  level_m: number,
  output: SteadySignalOutput,
): void {
  throughWindow(state, settings.swing_m, time_s, level_m, (at_s, there_m, smooth_m) =>
    takeSmooth(state, settings, at_s, there_m, smooth_m, output),
  );
}

/**
 * Takes many levels as `feedLevel` does one by one.
 *
 * @param time_s  shape (count)
 * @param level_m shape (4 + count): the four levels before come first, and are not taken
 */
export function feedLevels(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: Float64Array,
  level_m: Float64Array,
  count: number,
  output: SteadySignalOutput,
): void {
  const done = followsOn(state, level_m) ? feedClosely(state, settings, time_s, level_m, count, output) : 0;
  for (let i = done; i < count; i += 1)
    feedLevel(state, settings, time_s[i] as number, level_m[4 + i] as number, output);
}

/** The samples before these are the latest that were taken, and each new one completes a window of five. */
function followsOn({ recent, unfed, recent_m }: LevelRunsState, level_m: Float64Array): boolean {
  for (let i = 0; i < 4; i += 1) if (recent_m[i + 1] !== level_m[i]) return false;
  return recent === five && unfed === 2;
}

/** Takes those that stand close together; returns how many. */
function feedClosely(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: Float64Array,
  level_m: Float64Array,
  count: number,
  output: SteadySignalOutput,
): number {
  const { recent_s, recent_m, waiting } = state;
  const little_m = settings.swing_m === null ? 0 : leastFall_m(settings);
  const leap_m = output.sample === noSample ? leastFall_m(settings) / 2 : Number.NaN;
  let { roughness_m } = state;
  let before_s = recent_s[4] as number;
  let i = 0;
  for (; i < count && (time_s[i] as number) - before_s <= closeTogether_s; i += 1) {
    before_s = time_s[i] as number;
    const a = level_m[i] as number;
    const b = level_m[i + 1] as number;
    const middle_m = level_m[i + 2] as number;
    const d = level_m[i + 3] as number;
    const e = level_m[i + 4] as number;
    roughness_m = learnRoughness(roughness_m, middle_m, d, e);
    const middle_s = (i < 2 ? recent_s[i + 3] : time_s[i - 2]) as number;
    const smooth_m = medianOfFive(a, b, middle_m, d, e);
    const fall_m = state.extreme_m - smooth_m;
    // What most of them do: they wait, for they lie a little under the highest, or are it.
    if (state.running === false && fall_m > 0 && fall_m < little_m && waiting.count < longestWaiting) {
      letWait(waiting, middle_s, middle_m, smooth_m);
      continue;
    }
    if (state.running === false && fall_m <= 0 && -fall_m <= leap_m) {
      forgetOldest(waiting, waiting.count);
      setExtreme(state, middle_s, smooth_m);
      letWait(waiting, middle_s, middle_m, smooth_m);
      continue;
    }
    state.roughness_m = roughness_m;
    takeSmooth(state, settings, middle_s, middle_m, smooth_m, output);
  }
  state.roughness_m = roughness_m;
  for (let k = 0; k < five; k += 1) {
    const from = i + k;
    recent_s[k] = (from < five ? recent_s[from] : time_s[from - five]) as number;
    if (from > 0) recent_m[k] = level_m[from - 1] as number;
  }
  return i;
}

/** Time of the newest level taken; NaN before the first. */
export function newestLevel_s({ recent, recent_s }: LevelRunsState): number {
  return recent === 0 ? Number.NaN : (recent_s[five - 1] as number);
}

/** Among levels that lie no further apart than these, and those taken of late, no run can begin. */
export function tooFlatForARun(
  { running, extreme_m, recent_m }: LevelRunsState,
  settings: LevelRunsSettings,
  lowest_m: number,
  highest_m: number,
): boolean {
  let low_m = lowest_m;
  let high_m = running === null ? highest_m : Math.max(highest_m, extreme_m);
  for (let k = 0; k < five; k += 1) {
    low_m = Math.min(low_m, recent_m[k] as number);
    high_m = Math.max(high_m, recent_m[k] as number);
  }
  return running !== true && high_m - low_m < leastFall_m(settings);
}

function takeSmooth(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: number,
  level_m: number,
  smooth_m: number,
  output: SteadySignalOutput,
): void {
  if (state.running === null) begin(state, time_s, smooth_m, output);
  if (state.running === true) whileRunning(state, settings, time_s, level_m, smooth_m, output);
  else whileResting(state, settings, time_s, level_m, smooth_m, output);
}

/** Lets go of what waits, at a gap or the end. */
export function settleLevelRuns(state: LevelRunsState, output: SteadySignalOutput): void {
  release(state, state.waiting.count, output);
  const { roughness_m, fall } = state;
  forgetCourse(fall);
  Object.assign(state, newLevelRuns(), { roughness_m, fall });
}

function begin(state: LevelRunsState, time_s: number, smooth_m: number, output: SteadySignalOutput): void {
  state.running = false;
  output.edge(time_s, false);
  setExtreme(state, time_s, smooth_m);
}

function whileResting(
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
    release(state, waiting.count, output);
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
  if (fall_m >= enough_m && quick) {
    if (isBackFromLeap(state, time_s, smooth_m)) {
      release(state, waiting.count - 1, output);
      setExtreme(state, time_s, smooth_m);
    } else startRun(state, settings, time_s, smooth_m, output);
  } else if (waiting.count > longestWaiting || tooSlow(settings, since_s, enough_m)) {
    release(state, Math.ceil(waiting.count / 2), output);
    lookFromHighest(state, time_s, smooth_m);
  }
}

/** A leap that is over within so many samples. */
const briefly = 4;
/** Standard deviations of the level freed of noise. */
const clearlyOver = 4;

function noteLeap(state: LevelRunsState, settings: LevelRunsSettings, time_s: number, smooth_m: number): void {
  if (!(smooth_m - state.extreme_m > leastFall_m(settings) / 2)) return;
  state.leaptFrom_m = state.extreme_m;
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
  const run = runAsSaid(state, settings.said ?? null);
  const up = run === null ? lastUp(state) + 1 : run.before;
  const before = up === 0 ? { time_s: state.extremeAt_s, level_m: state.extreme_m } : sampleAt(waiting, up - 1);
  release(state, up, output);
  if (waiting.count === 0) return;
  const first = sampleAt(waiting, 0);
  beginFall(state.fall, before, first);
  state.running = true;
  state.runFrom_s = run?.startedAt_s ?? startsAt_s(state, before, first, settings.swing_m);
  state.runFrom_m = state.extreme_m;
  output.edge(state.runFrom_s, true);
  if (run !== null && run.stoppedAt_s !== null) {
    // What the sensor went on to say of the time before the fall is no level.
    forgetOldest(waiting, run.stood - run.before);
    state.cameBack = false;
    rest(state, run.stoppedAt_s, time_s, smooth_m, output);
    return;
  }
  noteWithin(state.fall, waiting, waiting.count - 1);
  release(state, waiting.count - 1, output);
  setExtreme(state, waitingTime_s(waiting, 0), waitingSmooth_m(waiting, 0));
}

/**
 * The last of those that wait that is still up; -1 where none is. Where samples stand far apart the median has worn the peak
 * down, so the sample itself is asked; where they are close, a single noisy one must not speak for the level.
 */
function lastUp(state: LevelRunsState): number {
  const { waiting } = state;
  const apart_s = waiting.count > 1 ? waitingTime_s(waiting, 1) - waitingTime_s(waiting, 0) : Number.NaN;
  const close = apart_s <= closeTogether_s;
  const worn = !(close || apart_s > farApart_s);
  const near_m = state.extreme_m - 2 * (close ? noise_m(state) : noiseOf_m(state.roughness_m));
  let up = -1;
  for (let i = 0; i < waiting.count - 1; i += 1) {
    if ((worn ? waitingLevel_m(waiting, i) : waitingSmooth_m(waiting, i)) >= near_m) up = i;
  }
  up = Math.max(up, lastBeforeFall(state));
  return close ? Math.min(up, lastBeforeSlowFall(state)) : up;
}

/** With samples close together the later one is as good. */
function startsAt_s(state: LevelRunsState, before: Point, within: Point, swing_m: number | null): number {
  return within.time_s - before.time_s <= closeTogether_s
    ? within.time_s
    : beginsAt_s(state.fall, before, within, swing_m);
}

function whileRunning(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: number,
  level_m: number,
  smooth_m: number,
  output: SteadySignalOutput,
): void {
  const { waiting } = state;
  letWait(waiting, time_s, level_m, smooth_m);
  if (smooth_m < state.extreme_m && goesOnFalling(state, time_s, smooth_m)) {
    setExtreme(state, time_s, smooth_m);
    const near_m = 2 * noise_m(state);
    let far = 0;
    while (waitingSmooth_m(waiting, far) > smooth_m + near_m) far += 1;
    if (far > 0) state.lastFalling_s = waitingTime_s(waiting, far - 1);
    noteWithin(state.fall, waiting, far);
    release(state, far, output);
    return;
  }
  const fall_m = state.runFrom_m - state.extreme_m;
  const duration_s = state.extremeAt_s - state.runFrom_s;
  const rose = smooth_m - state.extreme_m >= Math.max(9 * noise_m(state), shareOfFall * fallOfRun_m(state, settings));
  // A pump that empties a basin lowers it with every sample: when the fall has ended for a while, so has the run.
  const interval_s = duration_s > 0 ? (time_s - state.extremeAt_s) / Math.max(1, waiting.count) : 1;
  const quiet_s = Math.max(10, 5 * interval_s);
  const quickRun = fall_m / Math.max(1, duration_s) > quick_ms;
  const over = rose || waiting.count > longestWaiting;
  if (over || (quickRun && time_s - state.extremeAt_s >= quiet_s)) stopRun(state, time_s, smooth_m, output);
}

const quick_ms = 0.0005;
const slowEnd = 0.1;
const littleOfFall = 0.03;

/**
 * Where hardly anything comes in, a level that wanders goes on to lower ones after the stop. What a pump lowers quickly it
 * does not lower at a tenth of that pace from one moment to the next.
 */
function goesOnFalling(state: LevelRunsState, time_s: number, smooth_m: number): boolean {
  const pace_ms = paceOfFall_ms(state);
  const { extreme_m, extremeAt_s, runFrom_m } = state;
  // Where samples stand far apart a pump that goes on may stop soon after the one and before the next.
  if (state.fall.calm && time_s - extremeAt_s > closeTogether_s)
    return (
      extreme_m - smooth_m >
      Math.max(clearlyOver * noiseOf_m(state.roughness_m), littleOfFall * (runFrom_m - extreme_m))
    );
  return !(pace_ms > quick_ms) || extreme_m - smooth_m > slowEnd * pace_ms * (time_s - extremeAt_s);
}

function paceOfFall_ms({ runFrom_s, runFrom_m, extreme_m, extremeAt_s }: LevelRunsState): number {
  return (runFrom_m - extreme_m) / Math.max(1, extremeAt_s - runFrom_s);
}

function stopRun(state: LevelRunsState, time_s: number, smooth_m: number, output: SteadySignalOutput): void {
  const { waiting, lastFalling_s } = state;
  state.cameBack = smooth_m > (state.runFrom_m + state.extreme_m) / 2;
  const first_s = waitingTime_s(waiting, 0);
  const next_s = waiting.count > 1 ? waitingTime_s(waiting, 1) : time_s;
  const close = next_s - first_s <= closeTogether_s;
  const seen_s = close
    ? Number.isNaN(lastFalling_s)
      ? next_s
      : first_s
    : stopsAt_s(state.fall, state.runFrom_s, sampleAt(waiting, 0), next_s, !state.cameBack);
  const turned_s = close ? beforeRise_s(state, smooth_m, paceOfFall_ms(state)) : Number.NaN;
  // Where the fall was slow its last samples lie within the noise of the lowest.
  const falling = turned_s > seen_s ? countUpTo(waiting, turned_s) : 0;
  release(state, falling, output);
  rest(state, Math.max(seen_s, falling > 0 ? turned_s : seen_s), time_s, smooth_m, output);
}

/** The pump has rested since `from_s`; the level is freed of noise up to `time_s`. */
function rest(
  state: LevelRunsState,
  from_s: number,
  time_s: number,
  smooth_m: number,
  output: SteadySignalOutput,
): void {
  state.running = false;
  output.edge(from_s, false);
  state.lastFalling_s = Number.NaN;
  release(state, state.waiting.count, output);
  setExtreme(state, time_s, smooth_m);
}

function setExtreme(state: LevelRunsState, time_s: number, smooth_m: number): void {
  state.extreme_m = smooth_m;
  state.extremeAt_s = time_s;
}

function release({ waiting }: LevelRunsState, count: number, output: SteadySignalOutput): void {
  if (output.sample !== noSample)
    for (let i = 0; i < count; i += 1) output.sample(waitingTime_s(waiting, i), waitingLevel_m(waiting, i));
  forgetOldest(waiting, count);
}

function fallOfRun_m(state: LevelRunsState, settings: LevelRunsSettings): number {
  return Math.max(leastFall_m(settings), settings.swing_m === null ? 8 * noise_m(state) : 5 * noise_m(state));
}

function fallWhereRan_m(state: LevelRunsState, settings: LevelRunsSettings): number {
  const least_m = Math.max(9 * noise_m(state), shareWhereRan * (settings.swing_m ?? Number.POSITIVE_INFINITY));
  return Math.min(fallOfRun_m(state, settings), least_m);
}

function leastFall_m({ swing_m }: LevelRunsSettings): number {
  return swing_m === null ? deepEnough_m : shareOfSwing * swing_m;
}

/** Of the median of five. */
function noise_m({ roughness_m }: LevelRunsState): number {
  return 0.54 * noiseOf_m(roughness_m);
}
