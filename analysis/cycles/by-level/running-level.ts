// The level while the pump runs: whether it goes on falling, and when it stopped.

import { noiseOf_m } from "../../readings/roughness.ts";
import type { SteadySignalOutput } from "../by-signal/steady-signal.ts";
import { forgetOldest, letWait, waitingSmooth_m, waitingTime_s } from "../waiting-samples.ts";
import { noteWithin, sampleAt, stopsAt_s } from "./falling-level.ts";
import {
  clearlyOff,
  clearlyOver,
  fallOfRun_m,
  hiding_m,
  type LevelRunsSettings,
  type LevelRunsState,
  leastFall_m,
  longestWaiting,
  noise_m,
  noiseHides,
  release,
  releaseBeforeTurn,
  setExtreme,
  turnShows,
  upToTurn,
  uRounding_m,
} from "./level-runs-state.ts";
import { beforeRise_s, beforeStanding_s, countAbove, countUpTo, fallsOn } from "./level-turns.ts";
import { closeTogether_s } from "./level-window.ts";
import { linesMeet } from "./lines-meet.ts";
import { isOvertaken, learnStop, noteCourse, noteRise, type Turn } from "./overtaken.ts";
import { stopByLines } from "./quick-turns.ts";
import { runsOnAsSaid, stopAsSaid } from "./seldom-contact.ts";
import { between_s, type ToldTurn, turnAsTold } from "./turn-as-told.ts";

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
  if (settings.swing_m !== null) noteCourse(state.overtaken, time_s, smooth_m, settings.swing_m, noise_m(state));
  if (smooth_m < state.extreme_m && goesOnFalling(state, time_s, smooth_m)) {
    setExtreme(state, time_s, smooth_m);
    const interval_s = waitingTime_s(waiting, 1) - waitingTime_s(waiting, 0);
    const close = interval_s <= closeTogether_s;
    const near_m = noiseHides(state, settings, interval_s, paceOfFall_ms(state))
      ? turnShows * hiding_m(state, settings)
      : close
        ? nearLowest_m(state)
        : 2 * noise_m(state);
    const far = countAbove(waiting, smooth_m + near_m);
    const inRun = Math.min(close ? Math.max(0, far - 1) : far, upToTurn(state, settings, false));
    noteWithin(state.fall, waiting, inRun);
    release(state, inRun, output);
    return;
  }
  const fall_m = state.runFrom_m - state.extreme_m;
  const duration_s = state.extremeAt_s - state.runFrom_s;
  const rose = smooth_m - state.extreme_m >= Math.max(9 * noise_m(state), shareOfFall * fallOfRun_m(state, settings));
  // A pump that empties a basin lowers it with every sample: when the fall has ended for a while, so has the run.
  const pace_ms = fall_m / Math.max(1, duration_s);
  const over_s = pace_ms > quick_ms ? seenOver_s(state, settings, time_s, pace_ms) : Number.POSITIVE_INFINITY;
  const ended = time_s - state.extremeAt_s >= over_s && !fallsOn(waiting, state.extremeAt_s, pace_ms);
  const over = rose || waiting.count > longestWaiting || ended;
  if (over && !rose && runsOnAsSaid(state, settings.said ?? null)) {
    if (waiting.count > longestWaiting) release(state, Math.ceil(waiting.count / 2), output);
    return;
  }
  if (!over && smooth_m - state.extreme_m < 9 * noise_m(state)) return;
  const on = runsOn(state, settings, time_s, smooth_m);
  if (on === true) {
    release(state, waiting.count - 1, output);
    setExtreme(state, time_s, smooth_m);
    noteRise(state.overtaken, time_s, smooth_m);
  } else if (over && (on === false || rose)) stopRun(state, settings, time_s, smooth_m, output);
}

/** For so long after the lowest that a fall of such a pace would have shown. */
function seenOver_s(state: LevelRunsState, settings: LevelRunsSettings, time_s: number, pace_ms: number): number {
  const { waiting, extremeAt_s, runFrom_s } = state;
  const latest_s = time_s - waitingTime_s(waiting, waiting.count - 2);
  if (latest_s > closeTogether_s && noiseHides(state, settings, latest_s, pace_ms))
    return Math.max(10, (turnShows * hiding_m(state, settings)) / pace_ms);
  const interval_s = extremeAt_s > runFrom_s ? (time_s - extremeAt_s) / Math.max(1, waiting.count) : 1;
  return Math.max(10, 5 * interval_s, (turnShows * Math.max(noise_m(state), uRounding_m(settings))) / pace_ms);
}

function runsOn(
  state: LevelRunsState,
  { swing_m }: LevelRunsSettings,
  time_s: number,
  smooth_m: number,
): boolean | null {
  return swing_m === null ? false : isOvertaken(state.overtaken, turnAt(state, time_s, smooth_m), swing_m);
}

function turnAt(state: LevelRunsState, time_s: number, level_m: number): Turn {
  const { waiting, extreme_m, extremeAt_s } = state;
  const near = countAbove(waiting, extreme_m + nearLowest_m(state));
  return {
    from_m: state.runFrom_m,
    from_s: state.runFrom_s,
    lowest_m: extreme_m,
    lowestAt_s: extremeAt_s,
    near_m: waitingSmooth_m(waiting, near),
    nearAt_s: waitingTime_s(waiting, near),
    pace_ms: paceOfFall_ms(state),
    rose_ms: state.fall.calm ? state.fall.rise_ms : 0,
    time_s,
    level_m,
    interval_s: (time_s - waitingTime_s(waiting, 0)) / Math.max(1, waiting.count - 1),
  };
}

/**
 * So far over the lowest it is not sure yet whether the pump lowers the level or has stopped: of many levels that stand the
 * lowest lies deep, and a coarse sensor's may lie a step over it.
 */
function nearLowest_m(state: LevelRunsState): number {
  return 2 * noise_m(state) + paceOfFall_ms(state) * secondOfFall_s;
}

const secondOfFall_s = 1;
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

function stopRun(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: number,
  smooth_m: number,
  output: SteadySignalOutput,
): void {
  const { waiting, fall } = state;
  if (state.runFrom_m - state.extreme_m >= leastFall_m(state, settings))
    learnStop(state.overtaken, turnAt(state, time_s, smooth_m));
  state.cameBack = smooth_m > (state.runFrom_m + state.extreme_m) / 2;
  state.roseByAndBy = rosePast(state, onTheWay.low) > rosePast(state, onTheWay.high);
  fall.rising = null;
  const said = stopAsSaid(state, settings.said ?? null);
  const { at_s, before } = said ?? turned(state, settings, time_s, smooth_m, output);
  release(state, before, output);
  if (said !== null) fall.stopped = sampleAt(waiting, 0);
  rest(state, settings, at_s, time_s, smooth_m, output);
}

/**
 * Shares of the fall: between these a level is on its way up, neither of the lowest by its noise nor all but where it was.
 * Judgement, no source.
 */
const onTheWay = { low: 0.2, high: 0.7 } as const;

/** How many of those since the lowest lie above such a share of the fall. */
function rosePast({ waiting, runFrom_m, extreme_m, extremeAt_s }: LevelRunsState, share: number): number {
  let count = 0;
  for (let i = countUpTo(waiting, extremeAt_s); i < waiting.count; i += 1)
    if (waitingSmooth_m(waiting, i) > extreme_m + share * (runFrom_m - extreme_m)) count += 1;
  return count;
}

/** When the level turned, and how many of those that wait lie before. */
function turned(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  time_s: number,
  smooth_m: number,
  output: SteadySignalOutput,
) {
  const { waiting, fall, runFrom_s } = state;
  const next_s = () => (waiting.count > 1 ? waitingTime_s(waiting, 1) : time_s);
  const interval_s = next_s() - waitingTime_s(waiting, 0);
  state.turnsHidden = noiseHides(state, settings, interval_s, paceOfFall_ms(state));
  const meet = state.turnsHidden
    ? linesMeet(
        waiting,
        countAbove(waiting, state.extreme_m + nearLowest_m(state)),
        clearlyOff * hiding_m(state, settings),
        1,
      )
    : null;
  const told = stopAsTold(state, settings);
  if (told !== null) {
    const close = interval_s <= closeTogether_s;
    const seen_s = meet?.at_s ?? (close ? turnOf(state, smooth_m, next_s()).at_s : null);
    noteWithin(fall, waiting, told.before);
    release(state, told.before, output);
    return { at_s: between_s(told, close && seen_s !== null ? seen_s : farTurn_s(state, seen_s, next_s())), before: 0 };
  }
  if (meet !== null) {
    noteWithin(fall, waiting, meet.before);
    release(state, meet.before, output);
    forgetOldest(waiting, meet.unsure);
  }
  if (interval_s <= closeTogether_s)
    return meet === null ? turnOf(state, smooth_m, next_s()) : { at_s: meet.at_s, before: 0 };
  const turned_s = meet === null ? stopByLines(fall, waiting, state.extremeAt_s) : null;
  const at_s = stopsAt_s(fall, runFrom_s, sampleAt(waiting, 0), next_s(), !state.cameBack);
  return { at_s: meet?.at_s ?? turned_s ?? at_s, before: turned_s === null ? 0 : countUpTo(waiting, turned_s) };
}

function stopAsTold(state: LevelRunsState, settings: LevelRunsSettings): ToldTurn | null {
  const { waiting, extremeAt_s, fall, runFrom_s } = state;
  const unsure_s = (clearlyOff * hiding_m(state, settings)) / paceOfFall_ms(state);
  const seen = { at_s: extremeAt_s, unsure_s, latest_s: fall.last?.time_s ?? runFrom_s };
  return turnAsTold(settings.told, false, waiting, seen);
}

/** When the level turned, of samples far apart of which none that wait lie within the run. @param seen_s as is known, else null */
function farTurn_s(state: LevelRunsState, seen_s: number | null, next_s: number): number {
  const { waiting, fall, runFrom_s, extremeAt_s, cameBack } = state;
  const byLines_s = seen_s ?? stopByLines(fall, waiting, extremeAt_s);
  const at_s = stopsAt_s(fall, runFrom_s, sampleAt(waiting, 0), next_s, !cameBack);
  return byLines_s ?? at_s;
}

/** When the level turned, of samples close together, and how many of those that wait lie before. */
function turnOf(state: LevelRunsState, smooth_m: number, next_s: number) {
  const { waiting, extreme_m } = state;
  const pace_ms = paceOfFall_ms(state);
  const lowest = countAbove(waiting, extreme_m + 2 * noise_m(state));
  const lowest_s = lowest === 0 ? next_s : waitingTime_s(waiting, lowest);
  // Where the fall was slow its last samples lie within the noise of the lowest.
  const turned_s = beforeRise_s(state, smooth_m, pace_ms);
  if (turned_s > lowest_s) return { at_s: turned_s, before: countUpTo(waiting, turned_s) };
  const stood_s = beforeStanding_s(state, countAbove(waiting, extreme_m + nearLowest_m(state)), pace_ms);
  return stood_s < lowest_s
    ? { at_s: stood_s, before: countUpTo(waiting, stood_s) }
    : { at_s: lowest_s, before: lowest };
}

/** The pump has rested since `from_s`; the level is freed of noise up to `time_s`. */
export function rest(
  state: LevelRunsState,
  settings: LevelRunsSettings,
  from_s: number,
  time_s: number,
  smooth_m: number,
  output: SteadySignalOutput,
): void {
  state.running = false;
  output.edge(from_s, false);
  releaseBeforeTurn(state, settings, smooth_m, output);
  setExtreme(state, time_s, smooth_m);
  // What rises already as the rest begins does not leap.
  state.leaptFrom_m = Number.NaN;
  state.leaptAt_s = time_s;
}
