// A pump's signal that stands still for long, held against the level: it may be dead, or lie.

import type { AnalyzerState } from "./analyzer-state.ts";
import { contactChanged, noteRestOver, noteRunOver, noteSurelyMissed } from "./cycles/contact-in-runs.ts";
import { feedLevel } from "./cycles/level-runs.ts";
import { type LevelRunsSettings, type LevelRunsState, newLevelRuns } from "./cycles/level-runs-state.ts";
import { newContactWatch, type UsualRest, watchContact } from "./cycles/lying-contact.ts";
import type { SaidToRun } from "./cycles/seldom-contact.ts";
import { noSample, type SteadySignalOutput } from "./cycles/steady-signal.ts";
import type { BasinGeometry } from "./geometry/basin.ts";
import { isLittle } from "./inflow/little-inflow.ts";
import { levelNoise_m, levelProblem, steadyLevel_m } from "./readings/level-problem.ts";
import { usualTrips } from "./readings/trip-levels.ts";
import { noSignal } from "./signal-and-pump.ts";
import type { BasinSite } from "./site.ts";

export interface WatchedSignal {
  /** Takes the newest reading: whether the signal changed with it, and its level if it may be one. */
  note(time_s: number, changed: boolean, level_m: number | null): void;
  /** Takes when a run, by a level that is read seldom, began or was over. */
  noteRun(time_s: number, on: boolean): void;
  /** What a signal that is believed has said of the latest run, up to a reading at which it says whether the pump runs. */
  saidToRun(time_s: number, runs: boolean): SaidToRun | null;
  /** How runs are looked for in the level alone, once the signal has stood still for longer than `watchedAfter_s`. */
  readonly shadow: {
    readonly settings: LevelRunsSettings;
    readonly output: SteadySignalOutput;
    readonly watchedAfter_s: number;
  };
}

/** A signal that has not changed for so long is worth watching. */
const longStill_s = 600;
/** So many times as long as the time between two readings no run is missed. */
const surelySeen = 1.3;
/** A contact that is asked less often misses whole runs, and they are read off the level anyway. */
export const closeEnough_s = 12;

export function watchedSignal(
  state: AnalyzerState,
  basin: BasinSite,
  geometry: BasinGeometry,
  swing_m: number | null,
): WatchedSignal {
  const output: SteadySignalOutput = {
    edge: (time_s, on) => {
      const { runFrom_s, cameBack } = state.shadow;
      if (on) holdAgainst(state.shadow, time_s, on);
      if (on || !Number.isFinite(runFrom_s) || cameBack) return;
      state.shadowRuns += 1;
      // Of runs hardly longer than the time between two readings a contact misses some.
      const { typicalRun_s } = state.tracker;
      const usual_s = Number.isNaN(typicalRun_s) ? time_s - runFrom_s : typicalRun_s;
      if (usual_s >= surelySeen * state.cadence.long_s) noteSurelyMissed(state.inRuns);
      else holdAgainst(state.shadow, time_s, on);
    },
    sample: noSample,
  };
  const shadow = { settings: { swing_m }, output, watchedAfter_s: longStill_s };

  function noteRun(time_s: number, on: boolean): void {
    if (state.cadence.long_s > closeEnough_s && levelProblem(state.screen, time_s) === null)
      holdAgainst(state.levelRuns, time_s, on);
  }

  function holdAgainst({ runFrom_s, cameBack, fall }: LevelRunsState, time_s: number, on: boolean): void {
    const { inRuns, runSignal, signalSince_s } = state;
    if (runSignal.origin === null || signalSince_s === null) return;
    const since_s = on ? inRuns.stoppedAt_s : runFrom_s;
    const says = signalSince_s <= since_s ? runSignal.on : null;
    if (on) noteRestOver(inRuns, time_s, state.cadence.typical_s, says);
    else if (Number.isFinite(runFrom_s) && !cameBack) noteRunOver(inRuns, runFrom_s, time_s, fall, says);
  }

  /** A signal that has stood still for long is held against the level, which goes up and down without it if it is dead. */
  function note(time_s: number, changed: boolean, level_m: number | null): void {
    if (state.runSignal.origin === null) return;
    if (changed || state.signalSince_s === null) {
      state.signalSince_s = time_s;
      if (state.runSignal.on === true) state.ranFrom_s = time_s;
      if (state.contact.lowestAt_s > 0) Object.assign(state.contact, newContactWatch());
      if (state.shadowRuns > 0 || state.shadow.running !== null) state.shadow = newLevelRuns();
      state.shadowRuns = 0;
      contactChanged(state.inRuns);
    } else if (
      level_m !== null &&
      time_s - state.signalSince_s > longStill_s &&
      state.cadence.long_s <= closeEnough_s &&
      levelProblem(state.screen, time_s) === null
    ) {
      feedLevel(state.shadow, shadow.settings, time_s, level_m, shadow.output);
    }
    if (state.runSignal.on !== true || level_m === null || state.cadence.long_s > closeEnough_s) return;
    watchContact(
      state.contact,
      time_s,
      steadyLevel_m(state.screen) ?? level_m,
      levelNoise_m(state.screen),
      usualRest(),
    );
  }

  /** Null when it is not known, or when so much comes in that a storm may turn the water at any moment. */
  function usualRest(): UsualRest | null {
    const { trips, endInflow } = state.tracker;
    const stop_m = usualTrips(trips)?.stop_m ?? basin.stopLevel_m;
    if (stop_m === null || !isLittle(endInflow, state.tally.pumpRate?.flow_m3s ?? null)) return null;
    return { stop_m, rise_ms: (endInflow?.flow_m3s ?? 0) / geometry.area_m2(stop_m) };
  }

  function saidToRun(time_s: number, runs: boolean): SaidToRun | null {
    const { signalSince_s, ranFrom_s } = state;
    if (noSignal(state) || signalSince_s === null || !Number.isFinite(ranFrom_s)) return null;
    return { from_s: ranFrom_s, to_s: runs ? time_s : signalSince_s, over: !runs };
  }

  return { note, noteRun, saidToRun, shadow };
}
