// The look-out: gathers from the state of the analysis what the rules may look at, reading by reading.

import type { AnalyzerState } from "../analyzer-state.ts";
import { firstDead, noSignal, signalDead, toldByFloatBeside } from "../cycles/by-signal/signal-and-pump.ts";
import { flickersAt } from "../cycles/by-signal/steady-signal.ts";
import { readEvery_s } from "../cycles/cadence.ts";
import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import { floatBobs } from "../cycles/float-bobs.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { isLittle, movesAtLeast_m3s } from "../inflow/over-time/little-inflow.ts";
import { peakOver } from "../inflow/over-time/rolling-peaks.ts";
import { reckonedStarts } from "../inflow/seldom-readings/reckoned-starts.ts";
import { followedOfLate } from "../inflow/seldom-readings/run-share-state.ts";
import { longerRuns } from "../pump-flow/longer-runs.ts";
import { lastingChange, slowChange, startsLate, suddenChange, usualRate } from "../pump-flow/pump-change.ts";
import { anyChannelProblem } from "../readings/channel-watch.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import {
  type LevelProblem,
  leastLevel_m,
  levelNoise_m,
  levelProblem,
  maybeTosses,
  steadyIsOld,
  steadyLevel_m,
} from "../readings/level-problem.ts";
import { onlySaysAgain } from "../readings/repeated-levels.ts";
import { noiseOf_m } from "../readings/roughness.ts";
import { riseInAMinute_m } from "../readings/trend.ts";
import { usualTrips } from "../readings/trip-levels.ts";
import { rateOfSet } from "../report/pump-tally.ts";
import { recentStops_m, startsInLastHour } from "../report/tally.ts";
import type { Site } from "../site.ts";
import { leaveStop, noteAtStop } from "./at-stop.ts";
import { emptyView } from "./empty-view.ts";
import { openFindings } from "./finding-book.ts";
import { clearOfStart_m, startsAt_m } from "./float-stuck-off.ts";
import { usualStop_m } from "./float-stuck-on.ts";
import { inflowWhileRunning } from "./inflow-while-running.ts";
import { noteKeptDown, noteStops } from "./kept-down.ts";
import { leaveOverStart, noteOverStart } from "./over-start.ts";
import { rim_m, watchPlainRuns } from "./plain-run.ts";
import type { View } from "./rule.ts";
import { minuteNeeds_s, watchRun } from "./run-watch.ts";
import { chatterIsRecent_s } from "./short-cycling.ts";
import { comparePumps, lookAtPumps, lowestStop_m, newTwoPumps } from "./two-pumps.ts";

/** So many readings in a run tell what it moved. */
export const readingsThatTell = 5;

export interface LookOut {
  /** What is true at the newest reading; the same object each time, for it is made at every reading. */
  view(time_s: number): View;
  /**
   * Whether the newest reading is calm: the pump rests, the water stands where it stands at rest, every channel is well,
   * no finding is open or pending, and no news has come of starts, cycles, inflow or flickers since `view` was last made.
   * No rule but one that says otherwise can come true then, and none is asked.
   *
   * @param level_m the steady level, null without one
   */
  isCalm(time_s: number, level_m: number | null): boolean;
  /** Whether the next reading is calm unless it says something new. */
  mayBeCalm(): boolean;
  /**
   * Whether the newest reading is one of the first of a plain run: the pump has begun to run by its own signal, the water is
   * above where it stops and below where it is high, and all else is as for a calm one. No rule can come true by the
   * reading itself: a run that moves little shows after `runWithoutFall_s`, one that has moved what the pump does after a
   * minute. What it tells of the run is noted.
   *
   * @param level_m the steady level, null without one
   */
  isPlainRun(time_s: number, level_m: number | null): boolean;
  /** Something has come up that rules look at, beside what a reading says. */
  tellNews(): void;
  /** In a run of more than a minute: what the pump is known to move and how the level goes. Null otherwise. */
  inflowWhileRunning(): FlowEstimate | null;
}

export function createLookOut(site: Site, geometry: BasinGeometry, state: AnalyzerState): LookOut {
  const { basin } = site;
  const view = emptyView(site, geometry, state);
  const two = newTwoPumps();
  const run = watchRun(site, geometry, state, view);
  const isPlain = watchPlainRuns(site, state, view, run);
  /** Comparisons change only when a cycle settles; -1: not made since the start. */
  let comparedCycles = -1;
  /** … and where runs stop with each of them. */
  let latest: Cycle | undefined;
  const { lookedOut } = state;
  const startLevel_m = basin.startLevel_m ?? Number.POSITIVE_INFINITY;
  const rimFrom_m = (basin.overflowLevel_m ?? Number.POSITIVE_INFINITY) - rim_m;
  const high_m = Math.min(basin.highLevel_m ?? Number.POSITIVE_INFINITY, rimFrom_m);
  /** Nothing of the view has been filled in since the start, be it a restart. */
  let blank = true;

  function isCalm(time_s: number, level_m: number | null): boolean {
    if (!mayBeCalm() || isUp(level_m) || isDown(level_m) || state.steady.flickeredAt_s === time_s) return false;
    if (levelProblem(state.screen, time_s) !== null) return false;
    // What `view` would have noted.
    leaveStop(state.atStop, time_s, false, 0, 0);
    leaveOverStart(state.overStart);
    if (noSignal(state) && level_m !== null && !state.screen.standing) state.keptDown.above_s = time_s;
    state.lookedAt_s = time_s;
    return true;
  }

  function mayBeCalm(): boolean {
    return state.pumpRunning === false && isQuiet();
  }

  /** No news, and nothing wrong, open or pending but what the level may show. */
  function isQuiet(): boolean {
    if (blank || lookedOut.news || state.book.busy || state.contact.suspect) return false;
    // What is told by how closely it is read may come true by that alone.
    if (state.cadence.long_s <= closelyRead_s !== lookedOut.closelyRead) return false;
    if (state.highFloat === true || state.mainsOn === false) return false;
    return !signalDead(state) && !anyChannelProblem(state.channels);
  }

  /** … under where runs stop, with nothing but the level to tell whether the pump stands. */
  function isDown(level_m: number | null): boolean {
    if (!noSignal(state) || level_m === null) return false;
    return level_m < state.keptDown.stop_m || !Number.isNaN(state.keptDown.from_s);
  }

  function stopsAt_m({ recentCycles, endedFindings }: AnalyzerState["tally"]): number | null {
    return usualStop_m(site, recentCycles, [...endedFindings, ...openFindings(state.book)]);
  }

  function isUp(level_m: number | null): boolean {
    return level_m !== null && (level_m > startLevel_m || level_m >= high_m);
  }

  function look(time_s: number): View {
    const { screen, tally, tracker } = state;
    const steady_m = steadyLevel_m(screen);
    const problem = levelProblem(screen, time_s);
    const closelyRead = state.cadence.long_s <= closelyRead_s;
    const flickers = flickersAt(state.steady, time_s);
    const told = lookedOut.news;
    if (blank || tally.recentCycles[0] !== latest) view.stopsAt_m = stopsAt_m(tally);
    latest = tally.recentCycles[0];
    view.noNews = !told && tally.pumps === null && isAsBefore(problem, closelyRead, flickers);
    blank = false;
    if (!view.noNews) noteLookedOut(problem, closelyRead, flickers);
    view.time_s = time_s;
    view.levelProblem = problem;
    view.levelTosses = maybeTosses(screen);
    view.lastLevel_m = Number.isFinite(screen.last_m) ? screen.last_m : null;
    view.level_m = problem === "out-of-range" || screen.standing ? null : steady_m;
    view.leastLevel_m = view.level_m === null ? null : leastLevel_m(screen);
    view.levelIsOld = steadyIsOld(screen);
    view.levelOnlySaidAgain = onlySaysAgain(screen);
    view.leapSinceStart_m = screen.leapAt_s > tally.startedByFloat_s ? screen.leap_m : 0;
    // What the level belies is not known until it is clear which of them is wrong.
    view.pumpRunning = state.contact.suspect && !state.contact.lies ? null : state.pumpRunning;
    view.pumpInferred = noSignal(state);
    view.runsByLevel = state.view === "level";
    view.pumpSignalDead = firstDead(state);
    view.pumpSignal = state.runSignal.origin;
    view.allWell =
      problem === null &&
      !signalDead(state) &&
      tracker.trips.drift === null &&
      state.mainsOn !== false &&
      !anyChannelProblem(state.channels);
    view.closelyRead = closelyRead;
    view.readEvery_s = readEvery_s(state.cadence);
    view.fewReadingsInARun = !(state.tracker.typicalRun_s >= readingsThatTell * state.cadence.typical_s);
    view.pumpStateFor_s = state.pumpSince_s === null ? 0 : time_s - state.pumpSince_s;
    view.levelNoise_m = noiseInView_m();
    // A sensor of coarse steps has no noise to tell a step of its own from a leap (uniform: GUM 4.3.7).
    const stepNoise_m = Math.max(view.levelNoise_m, screen.resolution_m / Math.sqrt(12));
    view.riseWhileRunning_m =
      view.pumpRunning === true &&
      view.pumpStateFor_s >= 60 &&
      state.cadence.long_s <= minuteNeeds_s &&
      run.isNoStuckSignal(steady_m)
        ? riseInAMinute_m(state.trend, stepNoise_m)
        : null;
    view.highFloat = state.highFloat;
    view.mainsOn = state.mainsOn;
    view.startsInLastHour = startsInLastHour(tally, time_s);
    view.startsByInflow = reckonedStarts(state.share.reckoned, tally.startTimes_s, time_s);
    view.recentCycles = tally.recentCycles;
    view.flickers = flickers;
    if (!view.noNews) view.bobs = bobsTo(time_s);
    view.inflow = tracker.lastInflow;
    view.peak600 = peakOver(state.peaks, 1);
    if (tally.pumps !== null) {
      view.pumps = two;
      lookAtPumps(two, state, time_s);
    }
    view.pumpRate = rateOfSet(tally, two.set === 0 ? two.lastSet : two.set);
    const moves_m3s = tally.pumpRate?.flow_m3s ?? movesAtLeast_m3s(tally.recentCycles, geometry, view.readEvery_s);
    // By the level alone, readings that miss most rests must not show that more came in either.
    view.littleInflow =
      isLittle(tracker.endInflow, moves_m3s) &&
      (state.share.on !== null || followedOfLate(state.share, time_s).every((flow) => isLittle(flow, moves_m3s)));
    view.dischargeNow_m3s = run.dischargeNow_m3s(steady_m);
    view.stopLevel_m = basin.stopLevel_m ?? tally.recentCycles[0]?.stopLevel_m ?? null;
    lookAtStop(time_s);
    if (view.pumpInferred) noteDown(time_s, told);
    view.startTrip_m = usualTrips(state.tracker.trips)?.start_m ?? basin.startLevel_m;
    run.noteRun(time_s, steady_m);
    run.noteLongRun(time_s);
    view.riseInLongRun_m = run.riseInLongRun_m(time_s, steady_m);
    view.risenShare = run.risenShare(time_s, steady_m);
    // Calm readings are not looked at: whether one is must change nothing.
    if (told || state.pumpRunning !== false) run.noteBusy(time_s);
    view.mostRunShare = view.pumps === null && tally.signalRun_s !== null ? state.mostRun.most : null;
    view.leastPeak600_m3s = state.flatOut.least_m3s;
    view.soundRun = state.pumpRunning === true && state.flatOut.sound;
    view.overRim = steady_m !== null && steady_m >= rimFrom_m;
    view.startedLow = state.startedLow;
    view.roseBeforeStart = state.roseBeforeStart;
    view.bestInRun_m3s = state.bestInRun_m3s;
    view.inflowAtRest_m3s = run.inflowAtRest_m3s(steady_m);
    view.riseOverStart_m =
      view.pumpInferred && run.isOverStart(view.leastLevel_m) && state.cadence.long_s <= minuteNeeds_s
        ? riseInAMinute_m(state.trend, stepNoise_m)
        : null;
    noteOver(time_s, moves_m3s);
    view.riseOverFloats_m = view.pumpInferred ? run.riseOverFloats_m(time_s, view.level_m) : null;
    view.temperature_c = state.temperature_c;
    if (tally.settledCycles !== comparedCycles) {
      comparedCycles = tally.settledCycles;
      const usual = usualRate(tracker.history);
      view.suddenChange = suddenChange(tracker.history, usual);
      view.lastingChange = lastingChange(tracker.history, usual);
      // Of two pumps none has its runs timed together: what was found before the second was heard would stand for good.
      view.longerRuns = tally.pumps === null ? longerRuns(tracker.history.longer) : null;
      view.slowChange = slowChange(tracker.history, usual);
      view.startsLate = startsLate(tracker.history);
      if (tally.pumps !== null) comparePumps(two, view, state);
    }
    noteBlind(time_s);
    return view;
  }

  function bobsTo(time_s: number): number {
    return toldByFloatBeside(state) ? floatBobs(state.levelOut, time_s - chatterIsRecent_s, time_s) : 0;
  }

  /** Without a signal the pump's turns pass for noise where a rest or a run lasts few readings: what is learned beside them is less. */
  function noiseInView_m(): number {
    const noise_m = levelNoise_m(state.screen);
    const { roughness_m } = state.levelRuns;
    return view.pumpInferred && roughness_m > 0 ? Math.min(noise_m, noiseOf_m(roughness_m)) : noise_m;
  }

  function isAsBefore(problem: LevelProblem | null, closelyRead: boolean, flickers: number): boolean {
    return (
      problem === lookedOut.levelProblem && closelyRead === lookedOut.closelyRead && flickers <= lookedOut.flickers
    );
  }

  function noteLookedOut(problem: LevelProblem | null, closelyRead: boolean, flickers: number): void {
    lookedOut.news = false;
    lookedOut.levelProblem = problem;
    lookedOut.closelyRead = closelyRead;
    lookedOut.flickers = flickers;
  }

  /**
   * Over the start level a pump that is watched by the level alone, and was not seen to be overtaken, may run or stand: what
   * comes in is anyone's guess.
   */
  function noteBlind(time_s: number): void {
    const over = view.pumpInferred && state.pumpRunning !== true && run.isOverStart(view.level_m);
    const since_s = time_s > state.lookedAt_s ? Math.min(60, time_s - state.lookedAt_s) : 0;
    if (over) state.tally.blind_s += since_s;
    if (view.overRim) state.tally.overRim_s += since_s;
    state.lookedAt_s = time_s;
  }

  /** Of a pump that nothing but the level watches, with the water over where it starts. */
  function noteOver(time_s: number, moves_m3s: number | null): void {
    const { overStart, screen, tally, tracker } = state;
    const { level_m, levelNoise_m } = view;
    if (level_m !== null && (!view.pumpInferred || view.pumpRunning !== false || level_m <= startLevel_m))
      leaveOverStart(overStart);
    else if (level_m !== null) {
      const starts_m = startsAt_m(view) ?? Number.POSITIVE_INFINITY;
      const late_m3s = followedOfLate(state.share, time_s).at(-1)?.flow_m3s ?? 0;
      // Rounded to a step, a level is off by as much as half of it (uniform: GUM 4.3.7).
      const step_m = Number.isFinite(screen.resolution_m) ? screen.resolution_m : 0;
      const now = {
        time_s,
        volume_m3: geometry.volume_m3(level_m),
        area_m2: geometry.area_m2(level_m),
        uLevel_m: Math.hypot(levelNoise_m, step_m / Math.sqrt(12)),
        clearly: level_m > starts_m + clearOfStart_m(view),
        overRim: view.overRim,
        cameIn_m3s: tracker.endInflow && Math.max(tracker.endInflow.flow_m3s, late_m3s),
        pumpMoves_m3s: moves_m3s,
        atLeast: tally.pumpRate === null,
      };
      noteOverStart(overStart, now, state.trend);
    }
    view.overStart = overStart.verdict;
  }

  function lookAtStop(time_s: number): void {
    const { atStop, screen, pumpRunning } = state;
    const { level_m, stopsAt_m } = view;
    const over_m = level_m === null || stopsAt_m === null ? null : level_m - stopsAt_m;
    noteAtStop(atStop, time_s, pumpRunning === true, over_m, levelNoise_m(screen));
    view.atStopFor_s = atStop.since_s === null ? 0 : time_s - atStop.since_s;
    view.cameToStopIn_s = atStop.cameIn_s ?? 0;
  }

  /** Of a pump that nothing but the level watches. */
  function noteDown(time_s: number, told: boolean): void {
    const { keptDown, tracker } = state;
    const { level_m, levelNoise_m } = view;
    if (told) noteStops(keptDown, recentStops_m(state.tally), lowestStop_m(site));
    if (level_m === null) return;
    const { endInflow, lastInflow } = tracker;
    // What a household pours in towards the end of a rest is over sooner than the run that it starts.
    const inflow_m3s = endInflow && Math.min(endInflow.flow_m3s, lastInflow?.flow_m3s ?? endInflow.flow_m3s);
    const rise_ms = inflow_m3s === null ? null : inflow_m3s / geometry.area_m2(level_m);
    noteKeptDown(keptDown, time_s, level_m, levelNoise_m, rise_ms, state.floatOn === true);
  }

  return {
    view: look,
    isCalm,
    mayBeCalm,
    isPlainRun: (time_s, level_m) => isQuiet() && isPlain(time_s, level_m),
    tellNews: () => {
      lookedOut.news = true;
    },
    inflowWhileRunning: () => inflowWhileRunning(site, geometry, state),
  };
}
