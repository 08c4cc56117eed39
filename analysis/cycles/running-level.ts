// The level while the pump runs: whether it goes on falling, and when it stopped.

import { noiseOf_m } from "../readings/roughness.ts";
import { noteWithin, sampleAt, stopsAt_s } from "./falling-level.ts";
import {
  clearlyOver,
  fallOfRun_m,
  type LevelRunsSettings,
  type LevelRunsState,
  longestWaiting,
  noise_m,
  release,
  setExtreme,
} from "./level-runs-state.ts";
import { beforeRise_s, countUpTo } from "./level-turns.ts";
import { closeTogether_s } from "./level-window.ts";
import type { SteadySignalOutput } from "./steady-signal.ts";
import { letWait, waitingSmooth_m, waitingTime_s } from "./waiting-samples.ts";

/** A run is over when the level has risen again by so much of the fall that makes one. */
const shareOfFall = 0.75;

export function whileRunning(
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
export function rest(
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
