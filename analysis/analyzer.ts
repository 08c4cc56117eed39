// The one core: readings in, cycles, inflow and findings out. The daemon feeds it as readings arrive, the batch
// command feeds it from a file; both get the same answers. No clock, no I/O.

import { createCalmRows } from "./analyzer/calm-rows.ts";
import { forgetMoment } from "./analyzer/forget-moment.ts";
import { byNewest, isTurning, notePump, noteRan } from "./analyzer/note-pump.ts";
import { floatIsAsked, noteSignalRows } from "./analyzer/note-signal-rows.ts";
import { takeWritten } from "./analyzer/put-back.ts";
import { screenedLevel_m } from "./analyzer/screened-level.ts";
import { situationOf, summaryOf } from "./analyzer/situation-and-summary.ts";
import { takeBack } from "./analyzer/take-back.ts";
import { trackerContext } from "./analyzer/tracker-context-of.ts";
import type { Analyzer, AnalyzerOptions } from "./analyzer-contract.ts";
import { isState, newState } from "./analyzer-state.ts";
import { type Point, wasReadWithin } from "./cycles/by-level/falling-level.ts";
import { feedLevel, newestLevel_s, settleLevelRuns } from "./cycles/by-level/level-runs.ts";
import { closeTogether_s } from "./cycles/by-level/level-window.ts";
import { noteBriefRuns } from "./cycles/by-signal/brief-runs.ts";
import { cutShort, floatSays, letGoOfFloat, runSignal, toldOfOther } from "./cycles/by-signal/run-signal.ts";
import { noSignal, signalDead, signalDoubted, toldByFloatBeside } from "./cycles/by-signal/signal-and-pump.ts";
import {
  feedSignal,
  newSteadySignal,
  type SteadySignalOutput,
  settleSignal,
} from "./cycles/by-signal/steady-signal.ts";
import { closeEnough_s, watchedSignal } from "./cycles/by-signal/watched-signal.ts";
import { gapLimit_s, hasExactEdges, isGap, isRegular } from "./cycles/cadence.ts";
import { takeFirstRest, trackBreak, trackEdge, trackPumps, trackSample } from "./cycles/cycle-tracker.ts";
import { newLevelOut, noteLevelOut, noteSaid, runSaid } from "./cycles/level-out.ts";
import { giveBack, takeOver } from "./cycles/level-out-seams.ts";
import { noteLoad } from "./cycles/running-load.ts";
import { restartSamples } from "./cycles/samples.ts";
import { betterView, patient } from "./cycles/signal-or-level.ts";
import {
  eitherOn,
  feedPumps,
  forgetPumps,
  joinPump,
  type PumpSetsOutput,
  secondSignal,
  settlePumps,
} from "./cycles/two-pumps/pump-sets.ts";
import { waitedForSupply } from "./cycles/waited-for-supply.ts";
import type { Finding, FindingChange } from "./findings/finding.ts";
import { judge } from "./findings/finding-book.ts";
import { rules } from "./findings/index.ts";
import { createLookOut } from "./findings/look-out.ts";
import { basinGeometry } from "./geometry/basin.ts";
import { expectedFlows } from "./hydraulics/expected-flow.ts";
import { seenReturn } from "./inflow/drain-back/returned-water.ts";
import { clearDoubts } from "./inflow/over-time/clear-doubts.ts";
import { disproveLeap } from "./inflow/over-time/doubted.ts";
import { handOverInflow, type PassInflow } from "./inflow/over-time/hand-over-inflow.ts";
import { passInflow } from "./inflow/over-time/pass-inflow.ts";
import { addApart } from "./inflow/over-time/total-inflow.ts";
import { byShare } from "./inflow/seldom-readings/run-share-state.ts";
import { noteChannels } from "./readings/channel-watch.ts";
import { closelyRead_s } from "./readings/closely-read.ts";
import { levelProblem, steadyIsOld, steadyLag_s, steadyLevel_m } from "./readings/level-problem.ts";
import { levelRange } from "./readings/level-range.ts";
import { noteRow, ranBetweenLevels } from "./readings/level-screen.ts";
import { provenStill_s, stillFor_s } from "./readings/levels-by-change.ts";
import type { Reading } from "./readings/reading.ts";
import { type ReadingRows, readerOf } from "./readings/reading-rows.ts";
import { noteLowestStop, screenRun } from "./readings/repeated-levels.ts";
import { endPoll, joinRows, newPoll } from "./readings/rows-of-one-poll.ts";
import { noteLevel, restartTrend } from "./readings/trend.ts";
import { scatterOfTrips_m, spanOff } from "./readings/trip-levels.ts";
import { overAll } from "./report/over-all.ts";
import { notePumpStart, notePumpsRunning, splitTally } from "./report/pump-tally.ts";
import { noteCycle, noteEnded, noteGap, notePumped, noteStart, recentStops_m } from "./report/tally.ts";
import { noteUnwatched, noteWatched, takeForOwn } from "./report/unwatched-runs.ts";
import type { Site } from "./site.ts";
import { methodOf, statedErrors } from "./uncertainty/stated-errors.ts";

export type { Analyzer, AnalyzerOptions, AnalyzerSink, InflowStretch, Situation } from "./analyzer-contract.ts";

/** The ends of the calendar: 100 million days either side of 1970 (ECMA-262, time values). */
const farthest_s = 8.64e12;
/** After so many runs that the contact does not tell of, what the level has shown since the stop is made up. */
const mostUnseenRuns = 3;
/** One rule that must be asked at every reading needs the whole view each time. */
const allRestWhileCalm = rules.every((rule) => rule.notWhileCalm);

/**
 * @param site    what is known of the installation; only the basin's shape is needed
 * @param options where results go, and a snapshot to carry on from
 * @throws {RangeError} when the basin's shape holds no water
 */
export function createAnalyzer(site: Site, options: AnalyzerOptions = {}): Analyzer {
  const { sink = {} } = options;
  const state = isState(options.resume) ? options.resume : newState();
  const geometry = basinGeometry(site.basin.geometry);
  const { basin } = site;
  // By the site alone, so a resumed analysis is given the same.
  state.tracker.capability.expected = expectedFlows(site, site.pump);
  state.tracker.second.capability.expected = expectedFlows(site, site.pumps?.[1] ?? null);
  const stated = statedErrors(site, geometry);
  const spanIsOff = () => spanOff(state.tracker.trips);
  const sharedByOne = () => stated.ofOne(methodOf(state.hasLevel), spanIsOff().now);
  const sharedByMany = () => stated.ofMany(methodOf(state.hasLevel), spanIsOff().most);
  const range = levelRange(basin);
  const swing_m =
    basin.startLevel_m !== null && basin.stopLevel_m !== null ? basin.startLevel_m - basin.stopLevel_m : null;

  const context = trackerContext(site, geometry, state, {
    cycle: (found, stage) => {
      const { tally } = state;
      if (inflow.mayHideRuns(found)) tally.blurredFrom_s = found.startedAt_s;
      // It stays so when it settles, whatever came since.
      const blurred = found.startedAt_s === tally.blurredFrom_s;
      const cycle = blurred ? { ...found, inflow: null } : found;
      look.tellNews();
      noteCycle(state.tally, cycle, stage);
      noteLowestStop(state.screen, recentStops_m(state.tally));
      if (stage === "stopped" && byShare(state.share)) state.tally.blurredRun_s += cycle.run_s;
      sink.cycle?.(seenReturn(stated.inCycle(cycle, state.hasLevel, spanIsOff().now)), stage);
    },
    pumped: (cycle, volume_m3, uLength_m3) => {
      if (!byShare(state.share)) notePumped(state.tally, cycle, volume_m3, uLength_m3);
    },
    partOfRest: (length_s, volume_m3, uVolume_m3) => {
      // Without supply the basin fills to wherever it will.
      if (!state.hasLevel && state.mainsOn !== false) addApart(state.peaks, length_s, volume_m3, uVolume_m3);
    },
    unknown: (run_s) => {
      state.tally.unfollowed_s += run_s;
    },
    unwatched: (volume_m3, uVolume_m3) => noteUnwatched(state.tally, volume_m3, uVolume_m3),
    start: (time_s) => {
      look.tellNews();
      noteWatched(state.tally);
      const waited = waitedForSupply(state.tracker.poweredAt_s ?? Number.NaN, time_s, state.cadence.typical_s);
      noteStart(state.tally, time_s, { blurred: byShare(state.share), waited });
    },
    inflow: (from_s, to_s, parts, standsIn) => inflow.ofCycles(from_s, to_s, parts, standsIn),
    leapt: (volume_m3) => disproveLeap(state.doubted, state.peaks, volume_m3),
  });
  const passOn: PassInflow = (from_s, to_s, parts, joined) => {
    look.tellNews();
    clearDoubts(state, geometry);
    passInflow(state, sharedByOne(), sink, from_s, to_s, parts, joined);
  };
  const inflow = handOverInflow(state, basin, geometry, passOn);
  const edges: SteadySignalOutput = {
    edge: (time_s, on, next_m) => {
      const { phase, phaseFrom_s } = state.tracker;
      if (phase === "run" && !on && phaseFrom_s !== null && !context.inferred)
        screenRun(state.screen, phaseFrom_s, time_s);
      if (!context.inferred && state.hasLevel) signal.switched(time_s, on);
      if (context.inferred) signal.noteRun(time_s, on);
      trackEdge(state.tracker, context, time_s, on, next_m);
    },
    sample: (time_s, level_m) => trackSample(state.tracker, context, time_s, level_m),
  };
  const pumpEdges: PumpSetsOutput = {
    start: (pump, time_s) => notePumpStart(state.tally, pump, time_s),
    changed: (time_s, set) => {
      trackPumps(state.tracker, context, time_s, set);
      notePumpsRunning(state.tally, time_s, set);
      restartTrend(state.trend);
    },
  };
  const look = createLookOut(site, geometry, state);
  const signal = watchedSignal(state, basin, geometry, swing_m);
  const calmRows = createCalmRows({ state, basin, geometry, range, look, shadow: signal.shadow });

  const takeRow = (reading: Reading) => takeWritten(state, reading, take);

  function push(row: Reading): void {
    state.poll ??= newPoll();
    if (joinRows(state.poll, row, state, takeRow)) state.tally.rows += 1;
  }

  function take(reading: Reading): void {
    const { time_s } = reading;
    const { tally, cadence } = state;
    if (!(time_s >= (tally.end_s ?? -farthest_s) && time_s <= farthest_s)) {
      tally.late += 1;
      return;
    }
    const last_s = cadence.last_s;
    if (reading.level_m !== null) state.hasLevel = true;
    const { pumps } = state.tracker;
    const firstBefore = state.runSignal.on;
    const secondBefore = pumps.secondOn;
    const before = eitherOn(firstBefore, secondBefore);
    const levelTells = state.hasLevel && !state.levelOut.out;
    const besideLoad = levelTells && !(cadence.typical_s > closeEnough_s) ? signal.besideLoad : null;
    const first = runSignal(state.runSignal, reading, levelTells, besideLoad);
    if (reading.pump2On !== null || reading.float2On !== null) noteSecond(reading);
    const whichChanged = { first: first !== firstBefore, second: pumps.secondOn !== secondBefore };
    const changed = whichChanged.first || whichChanged.second;
    // Rows that come more closely are not asked about: many are taken at a time.
    const still_s = time_s - last_s > closelyRead_s ? provenStill_s(state.screen, isRegular(cadence)) : 0;
    if (isGap(cadence, time_s, state.hasLevel, changed, still_s)) breakAt(last_s, time_s, reading);
    else if (!noSignal(state)) noteRan(state, before, time_s, time_s - last_s);
    if (noSignal(state)) tally.signalRun_s = null;
    const says = noteSignalRows(state, reading, whichChanged, time_s - last_s);
    tally.rows += 1;
    tally.start_s ??= time_s;
    tally.end_s = time_s;

    if (firstBefore === true && cutShort(state.runSignal)) breakOffAt(time_s);
    if (!state.hasLevel && toldOfOther(state.runSignal)) beginAnew(time_s);

    if (reading.floatOn !== null) state.floatOn = reading.floatOn;
    if (reading.highFloat === true && state.highFloat === false) state.tracker.liftedAt_s = time_s;
    if (reading.mainsOn === true && state.mainsOn === false) state.tracker.poweredAt_s = time_s;
    if (reading.highFloat !== null) state.highFloat = reading.highFloat;
    if (reading.mainsOn !== null) state.mainsOn = reading.mainsOn;
    if (reading.temperature_c !== null) state.temperature_c = reading.temperature_c;
    noteRow(state.screen, time_s, reading.level_m !== null);
    const saysRests = before === false && eitherOn(first, pumps.secondOn) === false && !noSignal(state);
    const ran = ranBetweenLevels(state.screen, reading.level_m, saysRests);
    const resting = saysRests && !ran && !signalDoubted(state);
    const level_m =
      reading.level_m === null ? null : screenedLevel_m(state, geometry, range, time_s, reading.level_m, resting);
    const wasOut = state.levelOut.out;
    if (state.hasLevel && (state.view === "level" || wasOut)) noteBesideLevel(time_s, level_m);
    chooseView(time_s, wasOut);
    // What the level shows of them is not to be lost in the blocks of a rest of days.
    if ((state.tracker.unseenRuns ?? 0) >= mostUnseenRuns) breakOffAt(time_s);
    signal.note(time_s, whichChanged, level_m);
    const on = eitherOn(state.runSignal.on, pumps.secondOn);
    if (says) noteBriefRuns(state.briefRuns, on);
    noteLoad(state.tracker.load, time_s, reading, on);
    if (pumps.origin !== null) feedPumps(pumps, time_s, state.runSignal.on, pumpEdges);
    if (state.view === "signal") {
      const isOut = state.levelOut.out && levelProblem(state.screen, time_s) !== null;
      feedSignal(state.steady, time_s, on, isOut ? null : level_m, edges, hasExactEdges(cadence), isTurning(state));
    } else if (level_m !== null) {
      lookAway(time_s);
      const settings = {
        swing_m,
        resolution_m: state.screen.resolution_m,
        said: signal.saidToRun(time_s, on === true),
        ...(toldByFloatBeside(state) && { told: state.levelOut.said }),
      };
      feedLevel(state.levelRuns, settings, time_s, level_m, edges);
    }
    if (level_m !== null) inflow.reading(time_s, level_m, on);
    else if (!state.hasLevel || (state.levelOut.out && says && on !== null)) inflow.unlevelled(time_s, on);
    // What the pump does now a contact tells best, even one that is asked too seldom to time its runs.
    const unsignalled = noSignal(state);
    notePump(state, unsignalled ? byNewest(state, says, on) : on, time_s);
    // Float and load beside it are the first pump's.
    const firstRunning = pumps.origin === null || unsignalled ? state.pumpRunning : state.runSignal.on;
    const within = !unsignalled || cadence.typical_s <= closeTogether_s || wasReadWithin(state.levelRuns.fall);
    const { origin } = state.runSignal;
    noteChannels(state.channels, reading, firstRunning, origin, unsignalled, within, floatIsAsked(state));
    const steady_m = steadyLevel_m(state.screen);
    // In the first moments of a run the steady level still goes the way that it went before.
    const lags = state.pumpRunning === true && time_s - (state.pumpSince_s ?? time_s) < steadyLag_s(state.screen);
    noteLevel(state.trend, time_s, level_m === null || lags || steadyIsOld(state.screen) ? null : steady_m);
    if (allRestWhileCalm && (look.isCalm(time_s, steady_m) || look.isPlainRun(time_s, steady_m))) return;
    judge(state.book, rules, look.view(time_s), noteFinding);
  }

  function pushRows(rows: ReadingRows, from: number, to: number): void {
    const read = readerOf(rows);
    for (let row = from; row < to; ) {
      if (allRestWhileCalm) row = calmRows.take(rows, from, row, to);
      if (row < to) push(read(row));
      row += 1;
    }
  }

  /** Until a second pump is heard of, all that has run is the first. */
  function noteSecond(reading: Reading): void {
    const { pumps } = state.tracker;
    const wasKnown = pumps.origin !== null;
    const { origin } = state.runSignal;
    secondSignal(pumps, reading, !state.hasLevel || (origin !== null && origin !== "floatOn"));
    if (wasKnown || pumps.origin === null) return;
    joinPump(pumps, state.steady.on, reading.time_s);
    splitTally(state.tally, pumps.set === 1, state.tally.end_s ?? reading.time_s);
    trackPumps(state.tracker, context, reading.time_s, pumps.set);
  }

  /** What tells beside a level that shows the runs: it stands in while that is out, and shows when it is frozen. */
  function noteBesideLevel(time_s: number, level_m: number | null): void {
    const { runSignal, levelOut, cadence, screen } = state;
    const byFloat = runSignal.origin === null || runSignal.origin === "floatOn";
    const two = site.pumps != null || state.tracker.pumps.origin !== null;
    const either = eitherOn(runSignal.on, state.tracker.pumps.secondOn);
    const said = !byFloat ? either : two ? null : floatSays(runSignal);
    if (noteSaid(levelOut, time_s, said) && byFloat && state.view === "level" && cadence.long_s <= closeEnough_s) {
      const run = runSaid(levelOut);
      if (run !== null) screenRun(screen, run.from_s, run.to_s);
      signal.switched(time_s, said === true);
    }
    const wasOut = levelOut.out;
    noteLevelOut(levelOut, screen, cadence, time_s, level_m, said === true);
    if (!wasOut || levelOut.out) return;
    if (byFloat) letGoOfFloat(runSignal);
    state.otherViewBetter = patient;
  }

  function chooseView(time_s: number, wasOut: boolean): void {
    const better = betterView(state, basin, geometry);
    if (better === state.view) return;
    const { out } = state.levelOut;
    if (better === "signal" && takeOver(state, edges)) return;
    if (wasOut && !out && giveBack(state, time_s)) return;
    let first: readonly Point[] = [];
    if (state.tally.rows > 1) {
      // What was collected while a signal said 'runs' of rests and runs alike is neither.
      if (signalDead(state) && state.tracker.phase === "run") restartSamples(state.tracker.samples, Number.NaN);
      settleEdges();
      // A recording is known to be read seldom after some readings only: those are looked at anew, by the level.
      if (better === "level") first = takeFirstRest(state.tracker, geometry);
      if (first.length === 0) trackBreak(state.tracker, context, time_s);
      if (better === "level" && signalDead(state)) takeForOwn(state.tally);
    }
    Object.assign(state.steady, newSteadySignal());
    state.view = better;
    state.otherViewBetter = 0;
    for (const { time_s: at_s, level_m } of first) feedLevel(state.levelRuns, { swing_m }, at_s, level_m, edges);
  }

  function noteFinding(finding: Finding, change: FindingChange): void {
    if (change === "ended") noteEnded(state.tally, finding);
    sink.finding?.(finding, change);
  }

  function breakAt(last_s: number, time_s: number, reading: Reading): void {
    inflow.broken();
    const upTo_s = seenTo_s(last_s);
    settleEdges();
    trackBreak(state.tracker, context, upTo_s);
    noteGap(state.tally, { from_s: last_s, to_s: time_s });
    sink.gap?.({ from_s: last_s, to_s: time_s });
    // What held before the gap need not hold after it: only what this reading says is known.
    Object.assign(state.runSignal, { on: null, calls: null, powered: true });
    Object.assign(state.steady, newSteadySignal());
    runSignal(state.runSignal, reading, state.hasLevel);
    Object.assign(state.levelOut, newLevelOut());
    forgetPumps(state.tracker.pumps);
    notePumpsRunning(state.tally, last_s, 0);
    if (reading.pump2On !== null || reading.float2On !== null) noteSecond(reading);
    forgetMoment(state);
  }

  /** Where the supply fails, neither the run nor the rest after it goes from one float level to the other. */
  function breakOffAt(time_s: number): void {
    settleEdges();
    trackBreak(state.tracker, context, time_s);
    Object.assign(state.steady, newSteadySignal());
  }

  /** By the level it was not taken for the motor. */
  function beginAnew(time_s: number): void {
    inflow.broken();
    breakOffAt(time_s);
    takeBack(state);
    sink.takenBack?.();
    look.tellNews();
  }

  /** While no level came, or none that may be one, nobody saw by the level alone whether the pump ran, nor what came in. */
  function lookAway(time_s: number): void {
    const upTo_s = seenTo_s(time_s);
    if (upTo_s === time_s) return;
    settleEdges();
    trackBreak(state.tracker, context, upTo_s);
  }

  function seenTo_s(time_s: number): number {
    const newest_s = state.view === "level" ? newestLevel_s(state.levelRuns) : Number.NaN;
    return time_s - newest_s > gapLimit_s(state.cadence, true, stillFor_s(state.screen)) ? newest_s : time_s;
  }

  function settleEdges(): void {
    settlePumps(state.tracker.pumps, pumpEdges);
    settleSignal(state.steady, edges);
    settleLevelRuns(state.levelRuns, edges);
  }

  return {
    push,
    pushRows,
    situation: () => situationOf(state, look.inflowWhileRunning(), sharedByOne(), sharedByMany()),
    summary: () => summaryOf(site, state, sharedByMany()),
    overAll: () => ({
      ...overAll(state.tally, state.peaks, sharedByMany()),
      inputs: stated.inputs(methodOf(state.hasLevel), scatterOfTrips_m(state.tracker.trips)),
    }),
    finish: () => {
      if (state.poll !== undefined) endPoll(state.poll, takeRow);
      inflow.broken();
      const upTo_s = state.tally.end_s === null ? null : seenTo_s(state.tally.end_s);
      settleEdges();
      if (upTo_s !== null) trackBreak(state.tracker, context, upTo_s);
    },
    snapshot: () => state,
  };
}
