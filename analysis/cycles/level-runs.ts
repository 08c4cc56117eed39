// Pump runs read off the level alone, for a recording without a pump signal: the level turns from rising to falling by
// more than noise can, and back. Edges come a little late but carry the time of the turn.

import { learnRoughness, noiseOf_m } from "../readings/roughness.ts";
import { medianInPlace } from "../statistics/median.ts";
import type { SteadySignalOutput } from "./steady-signal.ts";

export interface LevelRunsState {
  running: boolean | null;
  /** The last five samples, from which the median is taken. */
  recent: { time_s: number; level_m: number }[];
  /** How many of them, the newest, have not stood in the middle of a window yet. */
  unfed: number;
  /** Samples since the extreme, whose rest or run is not decided yet. */
  waiting: { time_s: number; level_m: number; smooth_m: number }[];
  extreme_m: number;
  extremeAt_s: number;
  runFrom_s: number;
  runFrom_m: number;
  /** The last sample that was clearly above the lowest. */
  lastFalling_s: number;
  /** Running median of |second difference|, for the noise of a sample. */
  roughness_m: number;
}

export function newLevelRuns(): LevelRunsState {
  return {
    running: null,
    recent: [],
    unfed: 0,
    waiting: [],
    extreme_m: Number.NaN,
    extremeAt_s: Number.NaN,
    runFrom_s: Number.NaN,
    runFrom_m: Number.NaN,
    lastFalling_s: Number.NaN,
    roughness_m: 0,
  };
}

export interface LevelRunsSettings {
  /** Between the pump's float levels; null when unknown. */
  readonly swing_m: number | null;
}

/** A fall counts as a run when it is so large a part of the swing between the floats … */
const shareOfSwing = 0.6;
/** … or, with unknown floats, so deep and so quick: groundwater, tides and evaporation are slower than any pump. */
const deepEnough_m = 0.025;
const quickEnough_ms = 0.00005;
/** … and read often enough to tell a pump from a gate upstream or something in the sensor's way. */
const oftenEnough_s = 120;
/** A run is over when the level has risen again by so much of the fall that makes one. */
const shareOfFall = 0.75;
const longestWaiting = 4096;
const closeTogether_s = 4;
const farApart_s = 20;

export function feedLevel(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: number,
  level_m: number,
  output: SteadySignalOutput,
): void {
  state.recent.push({ time_s, level_m });
  if (state.recent.length > 5) state.recent.shift();
  noteRoughness(state);
  state.unfed += 1;
  const width = medianWidth(state, settings);
  const half = (width - 1) / 2;
  // A width that changes must neither repeat a sample nor skip one.
  while (state.unfed > half) {
    const from = state.recent.length - state.unfed - half;
    state.unfed -= 1;
    if (from >= 0) feedMedian(state, settings, state.recent.slice(from, from + width), output);
  }
}

/** Takes the sample in the middle of a window, smoothed by the window's median. */
function feedMedian(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  window: LevelRunsState["recent"],
  output: SteadySignalOutput,
): void {
  const middle = window[window.length >> 1];
  if (middle === undefined) return;
  const sample = { ...middle, smooth_m: medianInPlace(window.map(({ level_m }) => level_m)) };
  if (state.running === null) begin(state, sample, output);
  if (state.running === true) whileRunning(state, settings, sample, output);
  else whileResting(state, settings, sample, output);
}

/** Five samples against noise and spikes; fewer where samples are so far apart that five would smooth a run away. */
function medianWidth(state: LevelRunsState, { swing_m }: LevelRunsSettings): 1 | 3 | 5 {
  const [a, b] = [state.recent[state.recent.length - 2], state.recent[state.recent.length - 1]];
  const interval_s = a === undefined || b === undefined ? 0 : b.time_s - a.time_s;
  if (interval_s <= closeTogether_s) return 5;
  const quiet = swing_m !== null && sampleNoise_m(state) < swing_m / 16;
  if (!quiet) return 5;
  return interval_s > farApart_s ? 1 : 3;
}

/** Lets go of what waits, at a gap or the end. */
export function settleLevelRuns(state: LevelRunsState, output: SteadySignalOutput): void {
  release(state, state.waiting.length, output);
  const roughness_m = state.roughness_m;
  Object.assign(state, newLevelRuns(), { roughness_m });
}

type Waiting = LevelRunsState["waiting"][number];

function begin(state: LevelRunsState, sample: Waiting, output: SteadySignalOutput): void {
  state.running = false;
  output.edge(sample.time_s, false);
  state.extreme_m = sample.smooth_m;
  state.extremeAt_s = sample.time_s;
}

function whileResting(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  sample: Waiting,
  output: SteadySignalOutput,
): void {
  if (sample.smooth_m >= state.extreme_m) {
    release(state, state.waiting.length, output);
    setExtreme(state, sample);
    return;
  }
  state.waiting.push(sample);
  const fall_m = state.extreme_m - sample.smooth_m;
  const enough_m = fallOfRun_m(state, settings);
  const since_s = sample.time_s - state.extremeAt_s;
  const closely = since_s <= oftenEnough_s * state.waiting.length;
  const quick = settings.swing_m !== null || (closely && fall_m >= quickEnough_ms * since_s);
  if (fall_m >= enough_m && quick) startRun(state, output);
  else if (state.waiting.length > longestWaiting || tooSlow(state, settings, sample, enough_m)) {
    release(state, Math.ceil(state.waiting.length / 2), output);
    const highest = state.waiting.reduce(
      (best, waiting) => (waiting.smooth_m > best.smooth_m ? waiting : best),
      sample,
    );
    setExtreme(state, highest, state.waiting);
  }
}

/** With unknown floats, a fall that has taken longer than the slowest run is no run: look from later on. */
function tooSlow(state: LevelRunsState, settings: LevelRunsSettings, sample: Waiting, enough_m: number): boolean {
  return settings.swing_m === null && sample.time_s - state.extremeAt_s > enough_m / quickEnough_ms;
}

function startRun(state: LevelRunsState, output: SteadySignalOutput): void {
  // The last sample still up. Where samples stand far apart the median has worn the peak down, so the sample itself is
  // asked; where they are close, a single noisy one must not speak for the level.
  const [a, b] = state.waiting;
  const close = a !== undefined && b !== undefined && b.time_s - a.time_s <= closeTogether_s;
  const near_m = state.extreme_m - 2 * (close ? noise_m(state) : sampleNoise_m(state));
  let up = -1;
  for (let i = 0; i < state.waiting.length - 1; i += 1) {
    const sample = state.waiting[i];
    if (sample !== undefined && (close ? sample.smooth_m : sample.level_m) >= near_m) up = i;
  }
  const lastUp = state.waiting[up] ?? { time_s: state.extremeAt_s };
  release(state, up + 1, output);
  const first = state.waiting[0];
  if (first === undefined) return;
  state.running = true;
  state.runFrom_s = between_s(lastUp, first);
  state.runFrom_m = state.extreme_m;
  output.edge(state.runFrom_s, true);
  const last = state.waiting[state.waiting.length - 1] ?? first;
  release(state, state.waiting.length - 1, output);
  setExtreme(state, last, [last]);
}

/** An edge lies somewhere between two samples; with samples close together the later one is as good. */
function between_s(before: { readonly time_s: number }, after: { readonly time_s: number }): number {
  if (after.time_s - before.time_s <= closeTogether_s) return after.time_s;
  return (before.time_s + after.time_s) / 2;
}

function whileRunning(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  sample: Waiting,
  output: SteadySignalOutput,
): void {
  const fall_m = state.runFrom_m - state.extreme_m;
  const duration_s = state.extremeAt_s - state.runFrom_s;
  const near_m = 2 * noise_m(state);
  if (sample.smooth_m < state.extreme_m) {
    state.waiting.push(sample);
    setExtreme(state, sample, state.waiting);
    let far = 0;
    while (far < state.waiting.length && (state.waiting[far]?.smooth_m ?? 0) > sample.smooth_m + near_m) far += 1;
    state.lastFalling_s = state.waiting[far - 1]?.time_s ?? state.lastFalling_s;
    release(state, far, output);
    return;
  }
  state.waiting.push(sample);
  const rose =
    sample.smooth_m - state.extreme_m >= Math.max(9 * noise_m(state), shareOfFall * fallOfRun_m(state, settings));
  // A pump that empties a basin lowers it with every sample: when the fall has ended for a while, so has the run.
  const interval_s = duration_s > 0 ? (sample.time_s - state.extremeAt_s) / Math.max(1, state.waiting.length) : 1;
  const quiet_s = Math.max(10, 5 * interval_s);
  const quickRun = fall_m / Math.max(1, duration_s) > 0.0005;
  const over = rose || state.waiting.length > longestWaiting;
  if (over || (quickRun && sample.time_s - state.extremeAt_s >= quiet_s)) stopRun(state, sample, output);
}

function stopRun(state: LevelRunsState, sample: Waiting, output: SteadySignalOutput): void {
  const first = state.waiting[0] ?? sample;
  state.running = false;
  // Where one low sample alone tells of the run, the stop lies between it and the next.
  const [last, next] = Number.isNaN(state.lastFalling_s)
    ? [first, state.waiting[1] ?? sample]
    : [{ time_s: state.lastFalling_s }, first];
  output.edge(between_s(last, next), false);
  state.lastFalling_s = Number.NaN;
  release(state, state.waiting.length, output);
  setExtreme(state, sample, []);
}

function setExtreme(state: LevelRunsState, sample: Waiting, waiting: Waiting[] = [sample]): void {
  state.extreme_m = sample.smooth_m;
  state.extremeAt_s = sample.time_s;
  state.waiting = waiting;
}

function release(state: LevelRunsState, count: number, output: SteadySignalOutput): void {
  for (let i = 0; i < count; i += 1) {
    const sample = state.waiting[i];
    if (sample !== undefined) output.sample(sample.time_s, sample.level_m);
  }
  state.waiting = count >= state.waiting.length ? [] : state.waiting.slice(count);
}

function fallOfRun_m(state: LevelRunsState, settings: LevelRunsSettings): number {
  const wanted_m = settings.swing_m === null ? deepEnough_m : shareOfSwing * settings.swing_m;
  return Math.max(wanted_m, settings.swing_m === null ? 8 * noise_m(state) : 5 * noise_m(state));
}

/** Of one sample, from the running median of its second differences. */
function sampleNoise_m(state: LevelRunsState): number {
  return noiseOf_m(state.roughness_m);
}

/** Of the median of five. */
function noise_m(state: LevelRunsState): number {
  return 0.54 * sampleNoise_m(state);
}

function noteRoughness(state: LevelRunsState): void {
  const [a, b, c] = state.recent.slice(-3);
  if (a === undefined || b === undefined || c === undefined) return;
  state.roughness_m = learnRoughness(state.roughness_m, a.level_m, b.level_m, c.level_m);
}
