// The one core: readings in, cycles, inflow and findings out. The daemon feeds it as readings arrive, the batch
// command feeds it from a file; both get the same answers. No clock, no I/O.

import { isState, newState, noSignal, signalDead } from "./analyzer-state.ts";
import { createCalmRows } from "./calm-rows.ts";
import { hasExactEdges, isGap, isRegular, noteSignal } from "./cycles/cadence.ts";
import type { Cycle, CycleStage, FlowEstimate } from "./cycles/cycle.ts";
import { trackBreak, trackEdge, trackPumps, trackSample } from "./cycles/cycle-tracker.ts";
import { feedLevel, newLevelRuns, settleLevelRuns } from "./cycles/level-runs.ts";
import { newContactWatch, type UsualRest, watchContact } from "./cycles/lying-contact.ts";
import {
  eitherOn,
  feedPumps,
  forgetPumps,
  joinPump,
  type PumpSetsOutput,
  secondSignal,
  settlePumps,
} from "./cycles/pump-sets.ts";
import { carriesSignal, runSignal } from "./cycles/run-signal.ts";
import { noteLoad } from "./cycles/running-load.ts";
import { restartSamples } from "./cycles/samples.ts";
import { feedSignal, newSteadySignal, type SteadySignalOutput, settleSignal } from "./cycles/steady-signal.ts";
import { closelyRead_s, type TrackerContext } from "./cycles/tracker-context.ts";
import type { Finding, FindingChange } from "./findings/finding.ts";
import { forgetPending, judge, openFindings } from "./findings/finding-book.ts";
import { rules } from "./findings/index.ts";
import { createLookOut, isLittle } from "./findings/look-out.ts";
import { basinGeometry } from "./geometry/basin.ts";
import { handOverInflow } from "./hand-over-inflow.ts";
import { expectedFlows } from "./hydraulics/expected-flow.ts";
import { capabilityAt } from "./inflow/pump-capability.ts";
import { addStretch, breakPeaks } from "./inflow/rolling-peaks.ts";
import { byShare } from "./inflow/run-share.ts";
import { forgetRuns, noteChannels } from "./readings/channel-watch.ts";
import {
  forgetRecentLevels,
  levelNoise_m,
  levelProblem,
  noteRow,
  screenLevel,
  screenRun,
  steadyLag_s,
  steadyLevel_m,
} from "./readings/level-screen.ts";
import type { Reading } from "./readings/reading.ts";
import { type ReadingRows, readerOf } from "./readings/reading-rows.ts";
import { earlierCourse, levelTrend_ms, noteLevel, restartTrend } from "./readings/trend.ts";
import { scatterOfTrips_m, usualTrips } from "./readings/trip-levels.ts";
import { type OverAll, overAll } from "./report/over-all.ts";
import { pumpCurveReport } from "./report/pump-curve-report.ts";
import { notePumpStart, notePumpsRunning, rateOfSet, splitTally } from "./report/pump-tally.ts";
import type { ReportSummary } from "./report/report.ts";
import { summarize } from "./report/summarize.ts";
import { noteCycle, noteEnded, noteGap, notePumped, noteRunning, noteStart, startsInLastHour } from "./report/tally.ts";
import type { Site } from "./site.ts";
import type { BudgetInput } from "./uncertainty/budget-inputs.ts";
import { withShared } from "./uncertainty/shared-errors.ts";
import { methodOf, orNull, statedErrors } from "./uncertainty/stated-errors.ts";

/** Inflow over a stretch of time; stretches follow one another, and a gap stays a gap. */
export interface InflowStretch {
  readonly from_s: number;
  readonly to_s: number;
  readonly inflow_m3s: number;
  readonly uInflow_m3s: number;
}

/** Where results go, each as soon as it is known. Every handler is optional. */
export interface AnalyzerSink {
  cycle?(cycle: Cycle, stage: CycleStage): void;
  finding?(finding: Finding, change: FindingChange): void;
  inflow?(stretch: InflowStretch): void;
  gap?(gap: { readonly from_s: number; readonly to_s: number }): void;
}

/** What is true now. */
export interface Situation {
  /** Time of the newest reading; null before the first. */
  readonly time_s: number | null;
  readonly level_m: number | null;
  /** Known running, known resting, or unknown. */
  readonly pumpRunning: boolean | null;
  /** Which of two pumps run; null or absent where nothing tells of a second. `pumpRunning` is of either. */
  readonly pumpsRunning?: readonly [boolean | null, boolean | null] | null;
  /** Since when the pump runs or rests. */
  readonly pumpSince_s: number | null;
  readonly floatOn: boolean | null;
  readonly highFloat: boolean | null;
  readonly mainsOn: boolean | null;
  /**
   * Inflow as last measured, over the rest before or, in a run of more than a minute, from what the pump is known to move
   * and how the level goes; and what the pump moves as last measured.
   */
  readonly inflow: FlowEstimate | null;
  readonly pumpRate: FlowEstimate | null;
  /** Net rate of change of the level over the last minute or so; null without a level. */
  readonly levelRate_ms: number | null;
  readonly startsInLastHour: number;
  /** Findings that last. */
  readonly openFindings: readonly Finding[];
}

export interface Analyzer {
  /** Takes the next reading. Readings come in order of time; one that is older than the last is counted and left out. */
  push(reading: Reading): void;
  /** Takes rows from `from` to `to` (not included) as `push` takes one after the other, and many times as fast. */
  pushRows(rows: ReadingRows, from: number, to: number): void;
  situation(): Situation;
  /** What the readings so far say; may be asked at any time, and again. */
  summary(): ReportSummary;
  /** The same figures over many cycles, each with what its uncertainty is made of, and what is stated of the inputs. */
  overAll(): OverAll & { readonly inputs: readonly BudgetInput[] };
  /** Settles what is still open as far as the data allow. Call once, at the end of a recording. */
  finish(): void;
  /**
   * The whole state as plain data (numbers, arrays, typed arrays), fit for structured cloning: `createAnalyzer` with it
   * carries on as if it had never stopped.
   */
  snapshot(): unknown;
}

export interface AnalyzerOptions {
  readonly sink?: AnalyzerSink;
  /** From `snapshot()` of the same site. */
  readonly resume?: unknown;
}

/** Sensors read a little under the bottom and over the rim; far beyond either is no water level. */
const below_m = 0.1;
const above_m = 0.5;
/** The ends of the calendar: 100 million days either side of 1970 (ECMA-262, time values). */
const farthest_s = 8.64e12;
/** No basin is deeper: what a basin of unknown depth cannot hold either. */
const deepest_m = 100;
/** A contact that is asked less often than this misses whole runs. */
const missesRuns_s = 12;
/** Readings for which the other view must have been the better one: few at the beginning, many once it is settled. */
const settledIn = 50;
const hasty = 8;
const patient = 200;
/** A signal that has not changed for so long is worth watching. */
const longStill_s = 600;
/** One rule that must be asked at every reading needs the whole view each time. */
const allRestWhileCalm = rules.every((rule) => rule.notWhileCalm);
/** How well a log of events knows its edges, unless it is finer than that or it is stated; common practice, no source. */
const eventEdge_s = 1;

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
  const sharedByOne = () => stated.ofOne(methodOf(state.hasLevel));
  const sharedByMany = () => stated.ofMany(methodOf(state.hasLevel));
  const top_m = Math.max(basin.overflowLevel_m ?? 0, basin.depth_m ?? 0);
  const range = { lowest_m: -below_m, highest_m: top_m > 0 ? top_m + above_m : deepest_m };
  const swing_m =
    basin.startLevel_m !== null && basin.stopLevel_m !== null ? basin.startLevel_m - basin.stopLevel_m : null;

  // Asked of the state at the moment of use, so that a resumed analysis sees what one that never stopped sees.
  const context: TrackerContext = {
    basin,
    geometry,
    measurement: site.measurement ?? null,
    get interval_s() {
      const { cadence } = state;
      if (!hasExactEdges(cadence)) return cadence.typical_s;
      return Math.min(site.measurement?.uEdge_s == null ? eventEdge_s : 0, cadence.typical_s);
    },
    get inferred() {
      return state.view === "level";
    },
    get signalRests() {
      return state.runSignal.on === false && !noSignal(state);
    },
    get typicalRun_s() {
      return state.tracker.typicalRun_s;
    },
    get hasLevel() {
      return state.hasLevel && levelProblem(state.screen, state.tally.end_s ?? 0) === null;
    },
    get longInterval_s() {
      return state.cadence.long_s;
    },
    get signalRun_s() {
      return state.tally.signalRun_s;
    },
    get byShare() {
      return byShare(state.share);
    },
    get resolution_m() {
      return state.screen.resolution_m;
    },
    output: {
      cycle: (cycle, stage) => {
        look.tellNews();
        noteCycle(state.tally, cycle, stage);
        if (stage === "stopped" && byShare(state.share)) state.tally.blurredRun_s += cycle.run_s;
        sink.cycle?.(stated.inCycle(cycle, state.hasLevel), stage);
      },
      pumped: (cycle, volume_m3) => notePumped(state.tally, cycle, byShare(state.share) ? null : volume_m3),
      start: (time_s) => {
        look.tellNews();
        noteStart(state.tally, time_s);
      },
      inflow: (from_s, to_s, parts, standsIn) => inflow.ofCycles(from_s, to_s, parts, standsIn),
    },
  };
  const inflow = handOverInflow(state, basin, geometry, passInflow);
  const edges: SteadySignalOutput = {
    edge: (time_s, on) => {
      const { phase, phaseFrom_s } = state.tracker;
      if (phase === "run" && !on && phaseFrom_s !== null && !context.inferred) {
        screenRun(state.screen, phaseFrom_s, time_s);
      }
      trackEdge(state.tracker, context, time_s, on);
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
  const shadowOutput: SteadySignalOutput = {
    edge: (_, on) => {
      const { runFrom_m, cameBack } = state.shadow;
      if (!on && Number.isFinite(runFrom_m) && !cameBack) state.shadowRuns += 1;
    },
    sample: () => {},
  };
  const look = createLookOut(site, geometry, state);
  const shadow = { settings: { swing_m }, output: shadowOutput };
  const calmRows = createCalmRows({ state, basin, geometry, range, look, watchedAfter_s: longStill_s, shadow });

  function push(reading: Reading): void {
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
    const first = runSignal(state.runSignal, reading, state.hasLevel);
    if (reading.pump2On !== null || reading.float2On !== null) noteSecond(reading);
    const changed = first !== firstBefore || pumps.secondOn !== secondBefore;
    if (isGap(cadence, time_s, state.hasLevel, changed)) breakAt(last_s, time_s, reading);
    else if (!signalDead(state)) noteRunning(tally, before, time_s - last_s);
    if (signalDead(state)) tally.signalRun_s = null;
    if (carriesSignal(state.runSignal, reading)) noteSignal(cadence, changed, reading.level_m !== null);
    tally.rows += 1;
    tally.start_s ??= time_s;
    tally.end_s = time_s;

    if (reading.floatOn !== null) state.floatOn = reading.floatOn;
    if (reading.highFloat !== null) state.highFloat = reading.highFloat;
    if (reading.mainsOn !== null) state.mainsOn = reading.mainsOn;
    if (reading.temperature_c !== null) state.temperature_c = reading.temperature_c;
    noteRow(state.screen, reading.level_m !== null);
    const level_m = reading.level_m === null ? null : screenLevel(state.screen, range, time_s, reading.level_m);
    chooseView(time_s);
    watchSignal(time_s, changed, level_m);
    const on = eitherOn(state.runSignal.on, pumps.secondOn);
    noteLoad(state.tracker.load, time_s, reading, on);
    if (pumps.origin !== null) feedPumps(pumps, time_s, state.runSignal.on, pumpEdges);
    if (state.view === "signal") {
      feedSignal(state.steady, time_s, on, level_m, edges);
    } else if (level_m !== null) {
      const ranAt_s = noSignal(state) ? Number.NaN : on === true ? time_s : (state.signalSince_s ?? Number.NaN);
      feedLevel(state.levelRuns, { swing_m, ranAt_s }, time_s, level_m, edges);
    }
    if (level_m !== null) inflow.reading(time_s, level_m, on);
    // What the pump does now a contact tells best, even one that is asked too seldom to time its runs.
    const unsignalled = noSignal(state);
    notePump(unsignalled ? state.levelRuns.running : on, time_s);
    // Float and load beside it are the first pump's.
    const firstRunning = pumps.origin === null || unsignalled ? state.pumpRunning : state.runSignal.on;
    noteChannels(state.channels, reading, firstRunning, state.runSignal.origin, unsignalled);
    const steady_m = steadyLevel_m(state.screen);
    // In the first moments of a run the steady level still goes the way that it went before.
    const lags = state.pumpRunning === true && time_s - (state.pumpSince_s ?? time_s) < steadyLag_s(state.screen);
    noteLevel(state.trend, time_s, level_m === null || lags ? null : steady_m);
    if (allRestWhileCalm && look.isCalm(time_s, steady_m)) return;
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
    secondSignal(pumps, reading, !state.hasLevel || state.runSignal.origin !== null);
    if (wasKnown || pumps.origin === null) return;
    joinPump(pumps, state.steady.on, reading.time_s);
    splitTally(state.tally, pumps.set === 1, state.tally.end_s ?? reading.time_s);
    trackPumps(state.tracker, context, reading.time_s, pumps.set);
  }

  /** A signal that has stood still for long is held against the level, which goes up and down without it if it is dead. */
  function watchSignal(time_s: number, changed: boolean, level_m: number | null): void {
    if (state.runSignal.origin === null) return;
    if (changed || state.signalSince_s === null) {
      state.signalSince_s = time_s;
      if (state.contact.lowestAt_s > 0) Object.assign(state.contact, newContactWatch());
      if (state.shadowRuns > 0 || state.shadow.running !== null) Object.assign(state.shadow, newLevelRuns());
      state.shadowRuns = 0;
    } else if (
      level_m !== null &&
      time_s - state.signalSince_s > longStill_s &&
      state.cadence.long_s <= closelyRead_s &&
      levelProblem(state.screen, time_s) === null
    ) {
      feedLevel(state.shadow, { swing_m }, time_s, level_m, shadowOutput);
    }
    if (state.runSignal.on !== true || level_m === null || state.cadence.long_s > closelyRead_s) return;
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
    if (stop_m === null || !isLittle(endInflow, state.tally.pumpRate)) return null;
    return { stop_m, rise_ms: (endInflow?.flow_m3s ?? 0) / geometry.area_m2(stop_m) };
  }

  /**
   * Readings so far apart that whole runs fall between them: the level shows those, a sampled contact does not. The
   * view is changed only when it has been the better one for a while.
   */
  function chooseView(time_s: number): void {
    const { cadence } = state;
    const unsignalled = noSignal(state);
    const coarse =
      state.hasLevel &&
      swing_m !== null &&
      cadence.typical_s > missesRuns_s &&
      isRegular(cadence) &&
      !hasExactEdges(cadence);
    const better = unsignalled || coarse ? "level" : "signal";
    state.otherViewBetter = better === state.view ? 0 : state.otherViewBetter + 1;
    const patience = unsignalled || state.tally.rows < 2 ? 1 : cadence.seen < settledIn ? hasty : patient;
    if (state.otherViewBetter < patience) return;
    if (state.tally.rows > 1) {
      // What was collected while a signal stood still for rests and runs alike is neither.
      if (signalDead(state)) restartSamples(state.tracker.samples, Number.NaN);
      settleEdges();
      trackBreak(state.tracker, context, time_s);
    }
    Object.assign(state.steady, newSteadySignal());
    state.view = better;
    state.otherViewBetter = 0;
  }

  function notePump(running: boolean | null, time_s: number): void {
    if (running === state.pumpRunning) return;
    state.tally.pumpSeen = true;
    state.pumpRunning = running;
    state.pumpSince_s = time_s;
    state.restCourse = running === true ? earlierCourse(state.trend) : null;
    // How a run began is still of interest in the rest after it.
    if (running !== false) {
      state.startedLow = false;
      state.roseBeforeStart = false;
      state.bestInRun_m3s = null;
    }
    restartTrend(state.trend);
  }

  function noteFinding(finding: Finding, change: FindingChange): void {
    if (change === "ended") noteEnded(state.tally, finding);
    sink.finding?.(finding, change);
  }

  function passInflow(from_s: number, to_s: number, parts: readonly FlowEstimate[] | null, joined = false): void {
    look.tellNews();
    if (parts === null) {
      breakPeaks(state.peaks);
      return;
    }
    if (!joined) state.estimates += 1;
    const shared = sharedByOne();
    const length_s = (to_s - from_s) / parts.length;
    parts.forEach((part, i) => {
      const partFrom_s = from_s + i * length_s;
      const partTo_s = i === parts.length - 1 ? to_s : partFrom_s + length_s;
      addStretch(state.peaks, partFrom_s, partTo_s, part.flow_m3s, part.uFlow_m3s, state.estimates, part.uBend_m3s);
      sink.inflow?.({
        from_s: partFrom_s,
        to_s: partTo_s,
        inflow_m3s: part.flow_m3s,
        uInflow_m3s: Math.hypot(withShared(part, shared).uFlow_m3s, part.uBend_m3s ?? 0),
      });
    });
    const { tally, tracker } = state;
    tally.pumpRate = capabilityAt(tracker.capability, null);
    if (tracker.pumps.origin === null) return;
    tally.secondRate = capabilityAt(tracker.second.capability, null);
    tally.bothRate = capabilityAt(tracker.both.capability, null);
  }

  function breakAt(last_s: number, time_s: number, reading: Reading): void {
    inflow.broken();
    settleEdges();
    trackBreak(state.tracker, context, last_s);
    noteGap(state.tally, { from_s: last_s, to_s: time_s });
    sink.gap?.({ from_s: last_s, to_s: time_s });
    // What held before the gap need not hold after it: only what this reading says is known.
    state.runSignal.on = null;
    Object.assign(state.steady, newSteadySignal());
    runSignal(state.runSignal, reading, state.hasLevel);
    forgetPumps(state.tracker.pumps);
    notePumpsRunning(state.tally, last_s, 0);
    if (reading.pump2On !== null || reading.float2On !== null) noteSecond(reading);
    state.floatOn = null;
    state.highFloat = null;
    state.mainsOn = null;
    state.temperature_c = null;
    forgetPending(state.book);
    state.pumpRunning = null;
    state.pumpSince_s = null;
    Object.assign(state.shadow, newLevelRuns());
    Object.assign(state.contact, newContactWatch());
    forgetRuns(state.channels);
    forgetRecentLevels(state.screen);
    restartTrend(state.trend);
  }

  function settleEdges(): void {
    settlePumps(state.tracker.pumps, pumpEdges);
    settleSignal(state.steady, edges);
    settleLevelRuns(state.levelRuns, edges);
  }

  return {
    push,
    pushRows,
    situation: () => ({
      time_s: state.tally.end_s,
      level_m: state.hasLevel ? steadyLevel_m(state.screen) : null,
      pumpRunning: state.pumpRunning,
      ...(state.tracker.pumps.origin !== null && {
        pumpsRunning: [state.runSignal.on, state.tracker.pumps.secondOn] as const,
      }),
      pumpSince_s: state.pumpSince_s,
      floatOn: state.floatOn,
      highFloat: state.highFloat,
      mainsOn: state.mainsOn,
      inflow: orNull(look.inflowWhileRunning() ?? state.tracker.lastInflow, sharedByOne()),
      pumpRate: orNull(rateOfSet(state.tally, state.tracker.pumps.set) ?? state.tracker.lastRate, sharedByMany()),
      levelRate_ms: levelTrend_ms(state.trend),
      startsInLastHour: startsInLastHour(state.tally, state.tally.end_s ?? 0),
      openFindings: openFindings(state.book),
    }),
    summary() {
      const { capability, history } = state.tracker;
      const pump = pumpCurveReport(site, capability, history, sharedByMany());
      const summary = summarize(
        site,
        state.tally,
        state.peaks,
        openFindings(state.book),
        sharedByMany(),
        state.flatOut.least_m3s,
      );
      return pump === null ? summary : { ...summary, pump };
    },
    overAll: () => ({
      ...overAll(state.tally, state.peaks, sharedByMany()),
      inputs: stated.inputs(methodOf(state.hasLevel), scatterOfTrips_m(state.tracker.trips)),
    }),
    finish: () => {
      inflow.broken();
      settleEdges();
      if (state.tally.end_s !== null) trackBreak(state.tracker, context, state.tally.end_s);
    },
    snapshot: () => state,
  };
}
