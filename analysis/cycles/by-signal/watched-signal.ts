// A pump's signal that stands still for long, held against the level: it may be dead, or lie.

import type { AnalyzerState } from "../../analyzer-state.ts";
import { isOpen } from "../../findings/finding-book.ts";
import type { BasinGeometry } from "../../geometry/basin.ts";
import { isLittle } from "../../inflow/over-time/little-inflow.ts";
import { capabilityAt } from "../../pump-flow/pump-capability.ts";
import { noteUnmoved } from "../../readings/channel-watch.ts";
import { closelyRead_s } from "../../readings/closely-read.ts";
import { levelNoise_m, levelProblem, steadyLevel_m } from "../../readings/level-problem.ts";
import { screenSwitch } from "../../readings/repeated-levels.ts";
import { usualTrips } from "../../readings/trip-levels.ts";
import type { BasinSite } from "../../site.ts";
import { feedLevel } from "../by-level/level-runs.ts";
import { type LevelRunsSettings, type LevelRunsState, newLevelRuns } from "../by-level/level-runs-state.ts";
import type { SaidToRun } from "../by-level/seldom-contact.ts";
import { turnsAtFloat } from "../by-level/turns-at-float.ts";
import { askedWithin, noteUnasked } from "./asked-seldom.ts";
import { missesBriefRuns } from "./brief-runs.ts";
import { type ContactInRunsState, contactChanged, noteRestOver, noteRunOver, saidSince } from "./contact-in-runs.ts";
import type { BesideLoad } from "./load-by-level.ts";
import { newContactWatch, type UsualRest, watchContact } from "./lying-contact.ts";
import { floatAskedSeldom, noSignal, saidAtRowsOnly } from "./signal-and-pump.ts";
import { noSample, type SteadySignalOutput } from "./steady-signal.ts";

/** Whose contact says something else than before. */
export interface WhichChanged {
  readonly first: boolean;
  readonly second: boolean;
}

export interface WatchedSignal {
  /** Takes the newest reading: what changed with it, and its level if it may be one. */
  note(time_s: number, changed: WhichChanged, level_m: number | null): void;
  /** Takes when a run, by a level that is read seldom, began or was over. */
  noteRun(time_s: number, on: boolean): void;
  /** What a signal that is believed has said of the latest run, up to a reading at which it says whether the pump runs. */
  saidToRun(time_s: number, runs: boolean): SaidToRun | null;
  /** The pump is said to have started or stopped: what that says of the levels. */
  switched(time_s: number, on: boolean): void;
  /** What a load on the motor's line is held against. */
  besideLoad(): BesideLoad;
  /** How runs are looked for in the level alone, once the signal has stood still for longer than `watchedAfter_s`. */
  readonly shadow: {
    readonly settings: LevelRunsSettings;
    readonly output: SteadySignalOutput;
    readonly watchedAfter_s: number;
  };
}

/** A signal that has not changed for so long is worth watching. */
const longStill_s = 600;
/** … or that has missed so many of the longest cycles of late: one may last twice as long as those before. Judgement, no source. */
const someCycles = 3;
/** So many times as long as the time between two readings no run is missed. */
const surelyLonger = 1.3;
/** A contact that is asked less often misses whole runs, and they are read off the level anyway. */
export const closeEnough_s = 12;
/** Beside a load: so much of the way between the floats is near to one, and is a fall; and so many times the noise. Judgement, no source. */
const atFloat = 0.05;
const turnsBy = 0.03;
const aboveNoise = 6;
const usualSwing_m = 0.2;
/** Longer than this no storm keeps a standby running while the pump on duty comes and goes. Judgement, no source. */
const stormLasts_s = 7200;

export function watchedSignal(
  state: AnalyzerState,
  basin: BasinSite,
  geometry: BasinGeometry,
  swing_m: number | null,
): WatchedSignal {
  const output: SteadySignalOutput = { edge: (time_s, on) => hold(state.shadow, time_s, on, true), sample: noSample };
  const shadow = { settings: { swing_m }, output, watchedAfter_s: longStill_s };

  function noteRun(time_s: number, on: boolean): void {
    const { levelRuns, floatRows, cadence } = state;
    const { runFrom_s, cameBack } = levelRuns;
    if (
      !on &&
      !cameBack &&
      floatAskedSeldom(state) &&
      askedWithin(floatRows, runFrom_s, time_s, cadence.typical_s / 2) === 1
    )
      noteUnmoved(state.channels);
    if (state.cadence.long_s > closeEnough_s && levelProblem(state.screen, time_s) === null)
      hold(state.levelRuns, time_s, on, false);
  }

  /** Holds the contacts against a run, or a rest, that the level shows to be over. */
  function hold(runs: LevelRunsState, time_s: number, on: boolean, closely: boolean): void {
    const { runFrom_s, runFrom_m, extreme_m, fall } = runs;
    // In a storm the water is back up soon, but not at once.
    if (!on && (!Number.isFinite(runFrom_s) || (runs.cameBack && !(closely && runs.roseByAndBy)))) return;
    const { inRuns, inRunsOfSecond, runSignal, cadence, tracker, signalRows } = state;
    const atRows = saidAtRowsOnly(state);
    const asked_s = atRows ? signalRows.every_s : cadence.typical_s;
    const { origin, secondOn } = tracker.pumps;
    const run_s = time_s - runFrom_s;
    const first = saidSince(inRuns, runFrom_s, runSignal.on);
    const second = saidSince(inRunsOfSecond, runFrom_s, secondOn);
    // One that goes by between two readings none of them is asked in, however long those before it were; nor, where it is
    // asked more seldom than the level, in the rest before it.
    const surelySeen =
      closely &&
      (atRows
        ? run_s >= surelyLonger * signalRows.long_s && first !== true
        : run_s >= surelyLonger * cadence.long_s && seesEach(run_s));
    const turns = turnsAtFloat(tracker.trips, basin, {
      top_m: runFrom_m,
      lowest_m: extreme_m,
      unseen_m: fall.rise_ms * cadence.long_s,
    });
    if (on) {
      if (!turns.atStart) return;
      const says = (each: ContactInRunsState, now: boolean | null) => saidSince(each, each.stoppedAt_s, now);
      // Where its runs are counted, the rests between them are not.
      const runsCount = closely && seesEach(Number.NaN);
      if (!runsCount || origin !== null) noteRestOver(inRuns, time_s, asked_s, says(inRuns, runSignal.on));
      if (origin !== null && !mayRunOn(time_s))
        noteRestOver(inRunsOfSecond, time_s, asked_s, says(inRunsOfSecond, secondOn));
      return;
    }
    // Of a standby that holds the water somebody has been told; else the sensor may have been set anew beside a dead contact.
    const overStart = turns.overStart && isOpen(state.book, "float-stuck-off");
    const asked = atRows ? askedWithin(signalRows, runFrom_s, time_s, cadence.typical_s / 2) : 1;
    const run = { startedAt_s: runFrom_s, stoppedAt_s: time_s, fall, surelySeen, ...turns, overStart, asked };
    if (closely && first === false && (origin === null || second === false)) {
      if (asked === 1) tracker.unseenRuns = (tracker.unseenRuns ?? 0) + 1;
      else if (asked === 0 && turns.atStart && turns.atStop) noteUnasked(signalRows);
    }
    if (origin === null) {
      noteRunOver(inRuns, run, first);
      return;
    }
    noteRunOver(inRuns, run, first, second);
    noteRunOver(inRunsOfSecond, run, second, first);
  }

  /**
   * Whether the second pump may run on all the time: in a storm the water rises although it does, and falls as the first
   * joins in. What came in before it came on says so for a while.
   */
  function mayRunOn(time_s: number): boolean {
    const { inRunsOfSecond, tracker, tally } = state;
    const { endInflow } = tracker;
    if (endInflow === null || tally.pumpRate === null || time_s - inRunsOfSecond.since_s > stormLasts_s) return false;
    return !isLittle(endInflow, tally.pumpRate.flow_m3s);
  }

  /** A signal that has stood still for long is held against the level, which goes up and down without it if it is dead. */
  function note(time_s: number, changed: WhichChanged, level_m: number | null): void {
    if (state.runSignal.origin === null) return;
    const { inRuns, inRunsOfSecond, tracker } = state;
    const two = tracker.pumps.origin !== null;
    if (changed.first || Number.isNaN(inRuns.since_s)) contactChanged(inRuns, time_s);
    if (two && (changed.second || Number.isNaN(inRunsOfSecond.since_s))) contactChanged(inRunsOfSecond, time_s);
    const anyChanged = changed.first || changed.second || state.signalSince_s === null;
    if (anyChanged) {
      state.signalSince_s = time_s;
      if (state.runSignal.on === true) state.ranFrom_s = time_s;
      if (changed.first && state.contact.lowestAt_s > 0) Object.assign(state.contact, newContactWatch());
      // Of two contacts one may be dead while the other goes on changing.
      if (!two && state.shadow.running !== null) state.shadow = newLevelRuns();
    }
    const still = !anyChanged && time_s - (state.signalSince_s ?? time_s) > worthWatching_s();
    if (
      level_m !== null &&
      (two || still) &&
      state.cadence.long_s <= closeEnough_s &&
      levelProblem(state.screen, time_s) === null
    ) {
      feedLevel(state.shadow, shadow.settings, time_s, level_m, shadow.output);
    }
    if (state.runSignal.on !== true || level_m === null || state.cadence.long_s > closeEnough_s) return;
    // At levels that are read between its rows the pump may have stopped since.
    if (state.signalRows.at_s !== time_s && saidAtRowsOnly(state)) return;
    watchContact(state.contact, time_s, steadyLevel_m(state.screen) ?? level_m, noise_m, usualRest);
  }

  /** Where readings lie so far apart that a run looks like a level that jumps, no longer than a few of the latest cycles. */
  function worthWatching_s(): number {
    const { cadence, tally } = state;
    if (!(cadence.typical_s > closelyRead_s)) return longStill_s;
    let cycle_s = 0;
    for (const { run_s, rest_s } of tally.recentCycles) cycle_s = Math.max(cycle_s, run_s + (rest_s ?? longStill_s));
    return cycle_s > 0 ? Math.min(longStill_s, someCycles * cycle_s) : longStill_s;
  }

  function noise_m(): number {
    return levelNoise_m(state.screen);
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
    return { from_s: ranFrom_s, to_s: runs ? time_s : signalSince_s, over: !runs, seesEach: seesEach(Number.NaN) };
  }

  /** Whether runs are so long that the contact misses none. @param run_s of one, where none has been heard yet */
  function seesEach(run_s: number): boolean {
    const { typicalRun_s } = state.tracker;
    const usual_s = Number.isNaN(typicalRun_s) ? run_s : typicalRun_s;
    // One run of hours makes the mean long for dozens of runs after it.
    return usual_s >= surelyLonger * state.cadence.long_s && !missesBriefRuns(state.briefRuns, true);
  }

  function switched(time_s: number, on: boolean): void {
    const middle_m = ((basin.startLevel_m ?? Number.NaN) + (basin.stopLevel_m ?? Number.NaN)) / 2;
    screenSwitch(state.screen, {
      time_s,
      on,
      startLevel_m: basin.startLevel_m ?? Number.NaN,
      stopLevel_m: basin.stopLevel_m ?? Number.NaN,
      lowers_ms: (capabilityAt(state.tracker.capability, null)?.flow_m3s ?? Number.NaN) / geometry.area_m2(middle_m),
      floatOn: state.floatOn,
    });
  }

  function besideLoad(): BesideLoad {
    const start_m = usualTrips(state.tracker.trips)?.start_m ?? basin.startLevel_m;
    const swings_m = swing_m ?? usualSwing_m;
    const moves_m = aboveNoise * noise_m();
    return {
      start_m,
      near_m: Math.max(atFloat * swings_m, moves_m),
      turns_m: Math.max(turnsBy * swings_m, moves_m),
    };
  }

  return { note, noteRun, saidToRun, switched, besideLoad, shadow };
}
