// Rests and runs in, cycles out: fits each stretch when it ends, hands the inflow on, and settles a cycle when the rest
// after its run has shown how much came back. Telling rest from run is done before.

import { inflowFromActiveVolume } from "../inflow/active-volume.ts";
import { betweenTrips, type UsualRest } from "../inflow/between-trips.ts";
import { type CalmMeanState, newCalmMean, towardsCalm } from "../inflow/calm-mean.ts";
import { type DrainBack, fitRest, type RestFit } from "../inflow/fit-rest.ts";
import { lostInSpinUp_s } from "../inflow/fit-run.ts";
import { inflowDuringRun } from "../inflow/inflow-during-run.ts";
import { takeOutPour, withPour } from "../inflow/poured-in.ts";
import {
  type CapabilityState,
  capabilityAt,
  capabilitySlope_m2s,
  learnPooled,
  learnRun,
  learnSlope,
  leaveOutOfPool,
  newCapability,
} from "../inflow/pump-capability.ts";
import {
  lateFrom_s,
  newPumpHistory,
  noteRate,
  noteRunTime,
  type PumpHistoryState,
  type RunSeen,
} from "../inflow/pump-history.ts";
import { newRestMemory, type RestMemory } from "../inflow/rest-memory.ts";
import { newReturnProfile, type ReturnProfileState } from "../inflow/return-profile.ts";
import { finalRate, movedVolume_m3, volumeByRate_m3 } from "../inflow/run-rate.ts";
import { learnDrift } from "../inflow/sensor-drift.ts";
import { shareOfBends, uBend_m3s } from "../inflow/share-of-bends.ts";
import {
  boundsOfReturn,
  mayGoUnseen,
  newUnseenReturn,
  noteUnseenReturn,
  type UnseenReturnState,
  unseenReturn_m3,
} from "../inflow/unseen-return.ts";
import { newTripLevels, noteTrips, type TripLevelsState, usualTrips } from "../readings/trip-levels.ts";
import type { BasinSite } from "../site.ts";
import type { Cycle, FlowEstimate, PumpShares } from "./cycle.ts";
import { type EndedRun, endedRun, type InflowAt, longRun_s, type RestSummary } from "./ended-run.ts";
import { newPumpSets, type PumpSet, type PumpSetsState, takeShares } from "./pump-sets.ts";
import {
  inflowOfPart,
  isMixed,
  newRunParts,
  type PartBeside,
  type RunPart,
  type RunPartsState,
  rateOfPart,
  splitSamples,
} from "./run-parts.ts";
import { forgetLoad, newRunningLoad, type RunningLoadState, takeLoad } from "./running-load.ts";
import {
  addSample,
  addSamples,
  curveSamples,
  emptySamples,
  restartSamples,
  type SamplesState,
  stood,
} from "./samples.ts";
import { type StormCourse, stormCourse } from "./storm-course.ts";
import { closelyRead_s, edgeDelay_s, type TrackerContext, uEdges_s } from "./tracker-context.ts";
import { tripsOfRun } from "./trips-of-run.ts";

/** What a pump, or both together, have been seen to move. */
export interface LearnedPump {
  readonly capability: CapabilityState;
  readonly history: PumpHistoryState;
}

export interface TrackerState extends LearnedPump {
  phase: "unknown" | "rest" | "run";
  /** Beginning of the phase; null when it was not seen. */
  phaseFrom_s: number | null;
  /** Readings over the rim, less those under it since. */
  overRim: number;
  readonly samples: SamplesState;
  before: RestSummary | null;
  ended: EndedRun | null;
  readonly returns: ReturnProfileState;
  readonly unseen: UnseenReturnState;
  readonly memory: RestMemory;
  /** Of the first pump, or the only one. */
  readonly capability: CapabilityState;
  readonly history: PumpHistoryState;
  /** Of the second pump by itself, and of both together. */
  readonly second: LearnedPump;
  readonly both: LearnedPump;
  readonly pumps: PumpSetsState;
  /** Of the run in progress, and of the one that waits for the rest after it. */
  inRun: RunPartsState;
  endedParts: RunPartsState;
  readonly load: RunningLoadState;
  /** Where the float trips, by the level. */
  readonly trips: TripLevelsState;
  /** What rests say together while little changes, and by how much the newest was moved to that. */
  readonly calm: CalmMeanState;
  moved_m3s: number;
  /** Latest inflow that is well known, and the latest towards the end of a rest. */
  lastInflow: FlowEstimate | null;
  endInflow: FlowEstimate | null;
  lastRate: FlowEstimate | null;
  /** Running mean of the lengths of runs; NaN before the first. */
  typicalRun_s: number;
}

export function newTracker(): TrackerState {
  return {
    phase: "unknown",
    phaseFrom_s: null,
    overRim: 0,
    samples: emptySamples(),
    before: null,
    ended: null,
    returns: newReturnProfile(),
    unseen: newUnseenReturn(),
    memory: newRestMemory(),
    capability: newCapability(),
    history: newPumpHistory(),
    second: newLearnedPump(),
    both: newLearnedPump(),
    pumps: newPumpSets(),
    inRun: newRunParts(0, Number.NaN),
    endedParts: newRunParts(0, Number.NaN),
    load: newRunningLoad(),
    trips: newTripLevels(),
    calm: newCalmMean(),
    moved_m3s: 0,
    lastInflow: null,
    endInflow: null,
    lastRate: null,
    typicalRun_s: Number.NaN,
  };
}

function newLearnedPump(): LearnedPump {
  return { capability: newCapability(), history: newPumpHistory() };
}

/** A second pump that only stands by changes nothing. */
function onlyFirstRan({ second, both }: TrackerState): boolean {
  return second.capability.lessons === 0 && both.capability.lessons === 0;
}

/** Without a second pump all runs are the first one's. */
export function learnedBy(state: TrackerState, set: PumpSet): LearnedPump {
  return set === 2 ? state.second : set === 3 ? state.both : state;
}

/** In a shorter rest water that settles and runs back is all that can be seen. */
const shortestRest_s = 5;
const chatterRest_s = 20;
const chatterRun_s = 6;
const rim_m = 0.003;
/** Floats scatter, and a fast rise is seen late: so far over the start level it is neither. */
const overStart_m = 0.03;
/** Readings over the rim, less those under it since: so many make sure of it, and no more are counted. */
const surelyOver = 3;
const longOver = 20;
/** Less of a rest than this does not stand for the whole. */
const mostOfRest = 0.5;
/** Shorter runs are spin-up for the most part: their rate says little of the pump. */
const shortestTelling_s = 8;
/** In longer ones the inflow changes too much. */
const longestTelling_s = 600;
const mostOfRate = 0.6;
/** Rests up to this length have one inflow; the ends of longer ones are looked at by themselves. */
const shortRest_s = 120;
const endOfRest_s = 60;
/** The course of the inflow is handed on in parts of about this length, fewer and longer ones for a long rest. */
const part_s = 15;
const mostParts = 240;
/** A rest this short shows too little to go by alone when its inflow is vaguer than this share. */
const fleeting_s = 30;
const vague = 0.25;
const little = 0.3;
/** Rates known worse than this are no measure of the pump, however many. */
const usable = 0.35;

export function trackSample(state: TrackerState, context: TrackerContext, time_s: number, level_m: number): void {
  if (state.phase === "unknown") return;
  // Over the rim the level says nothing of how much comes; there noise alone takes some readings below it.
  const over = level_m >= (context.basin.overflowLevel_m ?? Number.POSITIVE_INFINITY) - rim_m;
  const overBefore = state.overRim > 0;
  state.overRim = over ? Math.min(longOver, state.overRim + 1) : Math.max(0, state.overRim - 1);
  if (over || overBefore || mayBeHeld(state, context, level_m)) return;
  if (Number.isNaN(state.samples.origin_s)) restartSamples(state.samples, time_s);
  addSample(state.samples, time_s, context.geometry.volume_m3(level_m));
}

/** As `trackSample` does for levels of a rest told by a signal, all of them well under the rim. */
export function trackVolumes(state: TrackerState, time_s: Float64Array, volume_m3: Float64Array, count: number): void {
  if (state.phase === "unknown" || count === 0) return;
  if (Number.isNaN(state.samples.origin_s)) restartSamples(state.samples, time_s[0] as number);
  addSamples(state.samples, time_s, volume_m3, count);
}

/** Levels under this are surely not over the rim. */
export function underRim_m({ overflowLevel_m }: BasinSite): number {
  return overflowLevel_m === null ? Number.POSITIVE_INFINITY : overflowLevel_m - 2 * rim_m;
}

export function trackEdge(state: TrackerState, context: TrackerContext, time_s: number, on: boolean): void {
  // The first state after a beginning or a gap was not seen to begin.
  const seen = state.phase !== "unknown";
  if (on && seen) context.output.start(time_s);
  if (state.phase === "rest" && on) endRest(state, context, time_s, true);
  else if (state.phase === "run" && !on) endRun(state, context, time_s);
  state.phase = on ? "run" : "rest";
  state.overRim = 0;
  state.phaseFrom_s = seen ? time_s : null;
  state.inRun = newRunParts(on ? state.pumps.set : 0, time_s);
  restartSamples(state.samples, seen ? time_s : Number.NaN);
}

/** From `time_s` on another set of pumps runs; none may be the end of the run. */
export function trackPumps(state: TrackerState, context: TrackerContext, time_s: number, set: PumpSet): void {
  const { inRun } = state;
  if (state.phase !== "run") return;
  if (set === 0) {
    inRun.pausedAt_s = time_s;
    return;
  }
  if (inRun.set !== 0 && inRun.set !== set && state.phaseFrom_s !== null) {
    endPart(state, context, Number.isNaN(inRun.pausedAt_s) ? time_s : inRun.pausedAt_s, time_s);
  }
  inRun.set = set;
  inRun.pausedAt_s = Number.NaN;
}

/** What was in progress is lost from sight at `time_s`: a gap, or the end of the data. */
export function trackBreak(state: TrackerState, context: TrackerContext, time_s: number): void {
  if (state.phase === "rest") endRest(state, context, time_s, false);
  else settle(state, context, null, null);
  context.output.inflow(time_s, time_s, null);
  state.phase = "unknown";
  state.moved_m3s = 0;
  for (const { capability } of [state, state.second, state.both]) capability.pooledUpTo_s = Number.NaN;
  state.overRim = 0;
  state.phaseFrom_s = null;
  state.inRun = newRunParts(0, Number.NaN);
  forgetLoad(state.load);
  state.before = null;
  restartSamples(state.samples, Number.NaN);
}

/**
 * Over the start level a pump that is told by the level alone may stand, or run and just hold what comes in; a contact
 * that is read too seldom to time runs still tells which.
 */
function mayBeHeld({ phase }: TrackerState, context: TrackerContext, level_m: number): boolean {
  const { inferred, signalRests, basin } = context;
  if (!inferred || signalRests === true || phase !== "rest") return false;
  return basin.startLevel_m !== null && level_m > basin.startLevel_m + overStart_m;
}

function endRest(state: TrackerState, context: TrackerContext, to_s: number, startSeen: boolean): void {
  const from_s = state.phaseFrom_s ?? state.samples.origin_s;
  const duration_s = to_s - from_s;
  const stopSeen = state.phaseFrom_s !== null;
  const { fit, poured } =
    duration_s > 0 && !isChatter(state, duration_s) && !(startSeen && stood(state.samples))
      ? fitWithPour(state, context, duration_s, startSeen && stopSeen)
      : nothingFitted;
  const shown = fit ? ({ ...withResolution(fit, context), method: "fill-slope" } as const) : null;
  const share = fit ? (fit.seenTo_s - fit.seenFrom_s) / duration_s : 0;
  const whole = startSeen && stopSeen && state.overRim < surelyOver;
  const inflow = share >= mostOfRest ? shown : whole ? inflowFromActiveVolume(context, duration_s) : null;
  const byCurve: RestSummary = {
    inflow,
    rest_s: stopSeen ? duration_s : null,
    startVolume_m3: fit?.startVolume_m3 ?? null,
    endVolume_m3: fit?.endVolume_m3 ?? null,
    sampleSd_m3: fit?.sampleSd_m3 ?? null,
    first: inflow === null ? null : inflowTowards("beginning", fit, inflow, from_s, to_s),
    last: inflow === null ? null : inflowTowards("end", fit, inflow, from_s, to_s),
  };
  // Two pumps' floats trip at levels of their own, and a level that tells of the runs itself is no second witness.
  if (!context.inferred && onlyFirstRan(state)) {
    const trips = poured || !whole ? null : byCurve;
    learnDrift(state.memory.drift, trips?.startVolume_m3 ?? null, trips?.endVolume_m3 ?? null, duration_s);
  }
  const storm = poured || !startSeen ? null : courseInStorm(state, context, fit, byCurve, from_s, to_s);
  const summary = storm === null ? byCurve : { ...byCurve, first: storm.first ?? byCurve.first, last: storm.last };
  const movedBefore_m3s = state.moved_m3s;
  const calm = storm === null && fit !== undefined && share >= mostOfRest ? shown : null;
  state.moved_m3s = calm === null ? 0 : towardsCalm(state.calm, calm, (from_s + to_s) / 2);
  const moved_m3s = (movedBefore_m3s + state.moved_m3s) / 2;
  settle(state, context, summary, stopSeen ? (fit?.drainBack ?? null) : null, storm?.run ?? null, moved_m3s);
  if (storm !== null) context.output.inflow(from_s, to_s, storm.rest);
  else passInflow(state, context, fit, shown ?? inflow, from_s, to_s);
  state.before = summary;
  const isVague = isVagueBeside(shown ?? inflow, state.lastInflow, duration_s);
  if (!isVague) state.lastInflow = shown ?? inflow ?? state.lastInflow;
  if (!isVague) state.endInflow = summary.last?.inflow ?? state.lastInflow;
}

interface Fitted {
  readonly fit: RestFit | undefined;
  readonly poured: boolean;
}

const nothingFitted: Fitted = { fit: undefined, poured: false };

function courseInStorm(
  state: TrackerState,
  context: TrackerContext,
  fit: RestFit | undefined,
  after: RestSummary,
  from_s: number,
  to_s: number,
): StormCourse | null {
  const { samples, before, ended, endedParts, phaseFrom_s } = state;
  if (fit !== undefined && fit.seenTo_s < to_s - from_s) return null;
  const known = ended !== null && phaseFrom_s !== null && !isMixed(endedParts) ? ended : null;
  const rest = { samples, fit, from_s, to_s, after, ended: known, before: before?.last ?? null };
  return stormCourse(rest, context, learnedBy(state, endedParts.set).capability);
}

function fitWithPour(state: TrackerState, context: TrackerContext, duration_s: number, endsSeen: boolean): Fitted {
  const { geometry, resolution_m, basin } = context;
  const step_m3 = Number.isFinite(resolution_m) ? resolution_m * geometry.area_m2(basin.stopLevel_m ?? 0) : 0;
  const samples = curveSamples(state.samples);
  const sudden = takeOutPour(samples, step_m3);
  const fit = fitRest(samples, duration_s, howToFit(state, context));
  if (fit === undefined) return { fit, poured: sudden !== null };
  if (sudden !== null) return { fit: withPour(fit, sudden), poured: true };
  const usual = endsSeen ? usualRest(state, context) : null;
  const whole = usual && betweenTrips(fit, samples, duration_s, usual, uEdges_s(context));
  return { fit: whole ?? fit, poured: whole !== null };
}

/** Where the float of a pump that stands alone trips; null until it is learned. */
function usualRest({ trips, pumps }: TrackerState, context: TrackerContext): UsualRest | null {
  const usual = pumps.origin === null ? usualTrips(trips) : null;
  if (usual === null) return null;
  const { geometry } = context;
  const scatter_m = Math.max(usual.scatterStart_m, usual.scatterStop_m);
  return {
    from_m3: geometry.volume_m3(usual.stop_m),
    to_m3: geometry.volume_m3(usual.start_m),
    uTrip_m3: scatter_m * geometry.area_m2(usual.start_m),
  };
}

/** Switches on and off within seconds: between readings the pump may run unseen, and the water has no time to settle. */
function isChatter({ ended }: TrackerState, rest_s: number): boolean {
  return rest_s < shortestRest_s || (rest_s < chatterRest_s && ended !== null && ended.cycle.run_s < chatterRun_s);
}

function howToFit(state: TrackerState, context: TrackerContext) {
  const stopSeen = state.phaseFrom_s !== null;
  const fine = stopSeen && context.longInterval_s <= closelyRead_s;
  return {
    returns: fine && !context.inferred ? state.returns : null,
    memory: state.memory,
    stopSeen,
    mostReturn_m3: state.ended === null ? Number.POSITIVE_INFINITY : lifted_m3(state.ended.cycle, context),
    // A turn of the level says less exactly than a switch when water began to run back.
    edgesVague: context.inferred,
  };
}

/** What the run before lifted, or may have lifted at most. */
function lifted_m3({ pumpRate, run_s }: Cycle, { basin, geometry }: TrackerContext): number {
  if (pumpRate !== null) return pumpRate.flow_m3s * run_s;
  const { startLevel_m, stopLevel_m } = basin;
  if (startLevel_m === null || stopLevel_m === null) return Number.POSITIVE_INFINITY;
  return geometry.volume_m3(startLevel_m) - geometry.volume_m3(stopLevel_m);
}

function inflowTowards(
  end: "beginning" | "end",
  fit: RestFit | undefined,
  inflow: FlowEstimate,
  from_s: number,
  to_s: number,
): InflowAt {
  const seenFrom_s = fit?.seenFrom_s ?? 0;
  const seenTo_s = fit?.seenTo_s ?? to_s - from_s;
  if (end === "end" && fit?.lastInflow) return { inflow: fit.lastInflow, time_s: to_s };
  if (fit === undefined || seenTo_s - seenFrom_s <= shortRest_s) {
    return { inflow, time_s: from_s + (seenFrom_s + seenTo_s) / 2 };
  }
  const start_s = end === "end" ? seenTo_s - endOfRest_s : seenFrom_s;
  return { inflow: fit.inflowOver(start_s, start_s + endOfRest_s), time_s: from_s + start_s + endOfRest_s / 2 };
}

/** A steady rise through a sensor's steps leaves 0.29 steps of residual; a little noise more blurs them out. */
const undithered = 0.35;

/** Without noise to blur a sensor's steps, either end of the rise may be half a step off. */
function withResolution(fit: RestFit, { geometry, resolution_m }: TrackerContext): FlowEstimate {
  const volume_m3 = fit.endVolume_m3 ?? fit.startVolume_m3 ?? 0;
  const step_m3 = geometry.area_m2(geometry.level_m(volume_m3)) * resolution_m;
  const duration_s = fit.seenTo_s - fit.seenFrom_s;
  if (!(fit.sampleSd_m3 < undithered * step_m3) || !Number.isFinite(step_m3)) return fit.inflow;
  return { ...fit.inflow, uFlow_m3s: Math.hypot(fit.inflow.uFlow_m3s, step_m3 / Math.sqrt(6) / duration_s) };
}

function isVagueBeside(inflow: FlowEstimate | null, known: FlowEstimate | null, duration_s: number): boolean {
  if (known === null || duration_s > shortRest_s) return false;
  if (inflow === null) return true;
  return (
    duration_s <= fleeting_s && inflow.uFlow_m3s > vague * Math.max(Math.abs(inflow.flow_m3s), Math.abs(known.flow_m3s))
  );
}

/** Hands on the inflow of a rest as far as it was seen; a fleeting rest that shows little has the inflow known before. */
function passInflow(
  state: TrackerState,
  { output }: TrackerContext,
  fit: RestFit | undefined,
  shown: FlowEstimate | null,
  from_s: number,
  to_s: number,
): void {
  // The data may end with the run; and a rest that was not seen to begin begins with its first level, if it has one.
  if (!(to_s > from_s)) return;
  if (state.lastInflow !== null && isVagueBeside(shown, state.lastInflow, to_s - from_s)) {
    output.inflow(from_s, to_s, [state.lastInflow]);
    return;
  }
  if (fit === undefined || shown === null) {
    output.inflow(from_s, to_s, shown === null ? null : [shown]);
    return;
  }
  const { seenFrom_s, seenTo_s } = fit;
  if (seenFrom_s > 0) output.inflow(from_s, from_s + seenFrom_s, null);
  const last_s = fit.endVolume_m3 === null ? from_s + seenTo_s : to_s;
  const parts = Math.min(mostParts, Math.max(1, Math.round((seenTo_s - seenFrom_s) / part_s)));
  const steadied = shareOfBends(fit);
  const mean_m3s = fit.inflow.flow_m3s;
  const flows = fit.inflowParts(parts).map((flow_m3s) => ({
    ...shown,
    flow_m3s: mean_m3s + steadied * (flow_m3s - mean_m3s) + state.moved_m3s,
    uBend_m3s: uBend_m3s(steadied, flow_m3s - mean_m3s),
  }));
  output.inflow(from_s + seenFrom_s, last_s, flows);
  if (last_s < to_s) output.inflow(last_s, to_s, null);
}

function endRun(state: TrackerState, context: TrackerContext, to_s: number): void {
  const from_s = state.phaseFrom_s;
  const shares = takeShares(state.pumps, from_s ?? to_s, to_s);
  const load = takeLoad(state.load);
  // A run that was not seen to begin has no length; two readings of one time give none either.
  if (from_s === null || !(to_s > from_s)) return;
  const run_s = to_s - from_s;
  state.typicalRun_s = Number.isNaN(state.typicalRun_s) ? run_s : state.typicalRun_s + (run_s - state.typicalRun_s) / 8;
  const ended = isMixed(state.inRun)
    ? endMixedRun(state, context, to_s)
    : endedRun(state.samples, context, from_s, to_s, state.before);
  const cycle: Cycle = {
    ...ended.cycle,
    ...(shares !== null &&
      !context.inferred && { pumps: { ...shares, rateOf: ended.cycle.pumpRate && nameOf(state.inRun.set) } }),
    ...(load.current !== null && { runningCurrent: load.current }),
    ...(load.power !== null && { runningPower: load.power }),
  };
  state.ended = { ...ended, cycle };
  state.endedParts = state.inRun;
  context.output.cycle(cycle, "stopped");
}

/** A storm with many changes of the pumps is worked off as it goes. */
const mostWaiting = 64;

function endPart(state: TrackerState, context: TrackerContext, to_s: number, next_s: number): void {
  const { inRun, samples } = state;
  const { set, from_s, waiting } = inRun;
  const before = isMixed(inRun) ? null : state.before;
  if (to_s > from_s) {
    const ended = splitSamples(samples, to_s, next_s, (part) => endedRun(part, context, from_s, to_s, before));
    waiting.push({ set, ended });
  }
  inRun.from_s = next_s;
  if (waiting.length > mostWaiting) passPart(state, context, inRun, null, null);
}

/** The run as a whole: its levels are those of its first and its last part, and its rate is known after the rest. */
function endMixedRun(state: TrackerState, context: TrackerContext, to_s: number): EndedRun {
  const { inRun, samples, before, phaseFrom_s } = state;
  const last = endedRun(samples, context, inRun.from_s, to_s, null);
  inRun.waiting.push({ set: inRun.set, ended: last });
  const from_s = phaseFrom_s ?? inRun.from_s;
  const first = inRun.passed === null ? (inRun.waiting[0]?.ended.cycle ?? null) : null;
  return {
    ...last,
    before,
    lateStart_s: null,
    cycle: {
      startedAt_s: from_s,
      stoppedAt_s: to_s,
      run_s: to_s - from_s,
      rest_s: before?.rest_s ?? null,
      startLevel_m:
        before?.endVolume_m3 == null ? (first?.startLevel_m ?? null) : context.geometry.level_m(before.endVolume_m3),
      stopLevel_m: last.cycle.stopLevel_m,
      inflow: before?.inflow ?? null,
      pumpRate: null,
      drainBack_m3: null,
    },
  };
}

/**
 * A run too short for its readings does not show how far it drew the water down; the rest after it does, less what ran
 * back meanwhile.
 */
function stopLevel_m(
  { cycle, stopVolume_m3 }: EndedRun,
  after: RestSummary | null,
  drainBack: DrainBack | null,
  { geometry }: TrackerContext,
): number | null {
  if (stopVolume_m3 !== null || after?.startVolume_m3 == null) return cycle.stopLevel_m;
  return geometry.level_m(after.startVolume_m3 - (drainBack?.volume_m3 ?? 0));
}

/** The rest after the run is known (or will never be): the run's figures are final. */
function settle(
  state: TrackerState,
  context: TrackerContext,
  after: RestSummary | null,
  fitted: DrainBack | null,
  inStorm: FlowEstimate[] | null = null,
  moved_m3s = 0,
): void {
  const { ended } = state;
  if (ended === null) return;
  state.ended = null;
  if (isMixed(state.endedParts)) {
    settleMixed(state, context, ended, after, fitted);
    return;
  }
  const { set } = state.endedParts;
  const learned = learnedBy(state, set);
  const drainBack = returned(state, context, ended, after, fitted);
  const pumpRate = finalRate(ended, after, learned.capability, context, drainBack);
  const cycle: Cycle = {
    ...ended.cycle,
    stopLevel_m: stopLevel_m(ended, after, drainBack, context),
    pumpRate,
    drainBack_m3: drainBack?.volume_m3 ?? null,
    ...rateIsOf(ended.cycle, pumpRate === null ? 0 : set),
  };
  context.output.cycle(cycle, "settled");
  context.output.pumped(
    cycle,
    (drainBack === null && mayGoUnseen(ended, context)
      ? null
      : movedVolume_m3(cycle, ended.before, after, drainBack)) ??
      volumeByRate_m3(cycle, ended.wet_s) ??
      switchedOnly_m3(learned, cycle),
  );
  const closelyRead = context.longInterval_s <= closelyRead_s;
  const during = inStorm ?? inflowDuringRun(learned.capability, ended, after, closelyRead) ?? briefly(state, ended);
  const calmed = inStorm === null && cycle.run_s <= longRun_s ? movedBy(during, moved_m3s) : during;
  context.output.inflow(cycle.startedAt_s, cycle.stoppedAt_s, calmed);
  noteRunTime(learned.history, cycle, context.longInterval_s);
  if (pumpRate !== null) learnPump(state, learned, context, ended, after, pumpRate);
  // Of two pumps the time run is that of either.
  if (state.pumps.origin === null) learnTogether(learned.capability, context, cycle, after);
  // The second pump's float trips at levels of its own.
  if (set > 1) return;
  const trips = tripsOfRun(ended, after, pumpRate, drainBack?.volume_m3 ?? 0, context);
  if (trips !== null && context.hasLevel) noteTrips(state.trips, trips);
}

/** Readings so far apart that the length of a run is anyone's guess, but not that of many. */
const seldom_s = 4;
const readingsInRest = 5;
const evenly = 0.06;

/** What came in while a run and the rest after it lasted is what the pump lifts in the long run. */
function learnTogether(
  capability: CapabilityState,
  context: TrackerContext,
  { pumpRate, run_s }: Cycle,
  after: RestSummary | null,
): void {
  const ranTo_s = context.signalRun_s ?? Number.NaN;
  const ran_s = ranTo_s - capability.pooledUpTo_s;
  capability.pooledUpTo_s = after?.rest_s == null ? Number.NaN : ranTo_s;
  const { interval_s } = context;
  if (pumpRate !== null || !(ran_s >= 0) || !(interval_s >= seldom_s && interval_s < Number.POSITIVE_INFINITY)) return;
  if (after?.rest_s == null || after.inflow === null) return;
  if (!isOneRest(after, context)) {
    leaveOutOfPool(capability);
    return;
  }
  const lifted_m3 = after.inflow.flow_m3s * (run_s + after.rest_s);
  learnPooled(capability, lifted_m3, ran_s - lostInSpinUp_s, interval_s / 2);
}

/** Where readings are few a run may go unseen: then the rest does not rise evenly, or has too few of them to tell. */
function isOneRest({ sampleSd_m3, rest_s }: RestSummary, { basin, geometry, interval_s }: TrackerContext): boolean {
  const { startLevel_m, stopLevel_m } = basin;
  if (startLevel_m === null || stopLevel_m === null || sampleSd_m3 == null || rest_s === null) return false;
  const active_m3 = geometry.volume_m3(startLevel_m) - geometry.volume_m3(stopLevel_m);
  return rest_s > readingsInRest * interval_s && sampleSd_m3 < evenly * active_m3;
}

function movedBy(flows: FlowEstimate[] | null, by_m3s: number): FlowEstimate[] | null {
  return flows?.map((flow) => ({ ...flow, flow_m3s: flow.flow_m3s + by_m3s })) ?? null;
}

function rateIsOf({ pumps }: Cycle, set: PumpSet): Pick<Cycle, "pumps"> {
  return pumps == null ? {} : { pumps: { ...pumps, rateOf: nameOf(set) } };
}

function nameOf(set: PumpSet): PumpShares["rateOf"] {
  return set === 0 ? null : set === 3 ? "both" : set;
}

/** As a run of one set of pumps, but for its rate, which is that of its longest part. */
function settleMixed(
  state: TrackerState,
  context: TrackerContext,
  ended: EndedRun,
  after: RestSummary | null,
  drainBack: DrainBack | null,
): void {
  const { endedParts } = state;
  const brief = ended.cycle.run_s <= longRun_s;
  // What was known of the pumps before this run says what came in during a brief one, its own rests the rest.
  const during = brief ? (inflowDuringRun(state.capability, ended, after, true) ?? briefly(state, ended)) : null;
  if (brief) context.output.inflow(ended.cycle.startedAt_s, ended.cycle.stoppedAt_s, during);
  while (endedParts.waiting.length > 0) passPart(state, context, endedParts, ended, after);
  const { rate, rateOf, moved_m3 } = endedParts;
  const cycle: Cycle = {
    ...ended.cycle,
    pumpRate: rate,
    drainBack_m3: drainBack?.volume_m3 ?? null,
    ...rateIsOf(ended.cycle, rateOf),
  };
  context.output.cycle(cycle, "settled");
  const balance_m3 = movedVolume_m3(cycle, ended.before, after, drainBack);
  context.output.pumped(cycle, balance_m3 ?? (Number.isNaN(moved_m3) ? null : moved_m3));
}

/**
 * Works off the oldest part of a run that waits: its rate, what that teaches of its pumps, and what came in meanwhile.
 *
 * @param ended the run, once it has ended
 */
function passPart(
  state: TrackerState,
  context: TrackerContext,
  parts: RunPartsState,
  ended: EndedRun | null,
  after: RestSummary | null,
): void {
  const part = parts.waiting.shift();
  if (part === undefined) return;
  const first = parts.passed === null;
  const next = parts.waiting[0] ?? null;
  const before = ended === null ? state.before : ended.before;
  const brief = ended !== null && ended.cycle.run_s <= longRun_s;
  const beside = { before, previous: parts.passed, next, after };
  const rate = brief ? rateOfBriefPart(state, context, part, before, after) : rateOfLongPart(state, part, beside);
  const { cycle } = part.ended;
  const learned = learnedBy(state, part.set);
  if (!brief) passInflowOfPart(state, context, parts, part, next);
  if (rate !== null && part.set !== 0) {
    const seen: EndedRun = {
      ...part.ended,
      before,
      ...(first ? {} : { lateStart_s: null }),
      ...(brief ? {} : { halves: null }),
    };
    learnPump(state, learned, context, seen, after, rate);
    if (cycle.run_s > parts.longest_s) Object.assign(parts, { longest_s: cycle.run_s, rate, rateOf: part.set });
  }
  const known = rate ?? capabilityAt(learned.capability, part.ended.meanLevel_m);
  parts.moved_m3 += known === null ? Number.NaN : known.flow_m3s * cycle.run_s;
  parts.passed = part;
}

/** The rests on either side are near: what came in is known from them. */
function rateOfBriefPart(
  state: TrackerState,
  context: TrackerContext,
  part: RunPart,
  before: RestSummary | null,
  after: RestSummary | null,
): FlowEstimate | null {
  if (part.ended.whole === null) return null;
  return finalRate({ ...part.ended, before }, after, learnedBy(state, part.set).capability, context, null);
}

function rateOfLongPart(state: TrackerState, part: RunPart, beside: PartBeside): FlowEstimate | null {
  return rateOfPart(part, beside, (set) => learnedBy(state, set).capability);
}

/** A part too short to tell has the inflow known before. */
function passInflowOfPart(
  state: TrackerState,
  { output }: TrackerContext,
  parts: RunPartsState,
  part: RunPart,
  next: RunPart | null,
): void {
  const { startedAt_s, stoppedAt_s, run_s } = part.ended.cycle;
  const found = inflowOfPart(part, (set) => learnedBy(state, set).capability);
  const bridge = parts.inflow ?? state.lastInflow;
  const flows = found ?? (bridge !== null && run_s <= longRun_s ? [bridge] : null);
  if (found !== null) parts.inflow = found.at(-1) ?? null;
  output.inflow(startedAt_s, next?.ended.cycle.startedAt_s ?? stoppedAt_s, flows);
}

/** A short run between rests too short to tell has the inflow known before. */
function briefly({ lastInflow }: TrackerState, { cycle }: EndedRun): FlowEstimate[] | null {
  return lastInflow !== null && cycle.run_s <= longRun_s ? [lastInflow] : null;
}

/** What a switch of a few seconds moves shows in no level: by what the pump has been seen to move. */
function switchedOnly_m3({ capability }: LearnedPump, cycle: Cycle): number | null {
  if (cycle.run_s >= chatterRun_s) return null;
  return volumeByRate_m3({ ...cycle, pumpRate: capabilityAt(capability, cycle.startLevel_m) }, cycle.run_s);
}

/** What came back; null where that is not known, be it that the rest shows nothing, be it that readings may have missed it. */
function returned(
  { unseen }: TrackerState,
  context: TrackerContext,
  ended: EndedRun,
  after: RestSummary | null,
  fitted: DrainBack | null,
): DrainBack | null {
  if (!mayGoUnseen(ended, context)) return returnedAtOnce(ended, after, fitted, context) ?? withUnseen(fitted, context);
  const bounds = boundsOfReturn(ended, after, context);
  if (bounds !== null) noteUnseenReturn(unseen, bounds);
  // A course that goes on over several readings is seen.
  if (fitted !== null && fitted.time_s > seenOver * context.interval_s) return fitted;
  const volume_m3 = after?.rest_s == null ? null : unseenReturn_m3(unseen);
  return volume_m3 === null ? null : { volume_m3, time_s: context.interval_s, course: "fading" };
}

const seenOver = 2;

/** Of a course quicker than readings are apart no more than this can be told. */
const mostUnseen = 1.25;

/** A stop is seen some time within an interval after it happened: what is back by then is missing from the course. */
function withUnseen(fitted: DrainBack | null, context: TrackerContext): DrainBack | null {
  if (fitted === null || fitted.course !== "fading" || !(fitted.volume_m3 > 0)) return fitted;
  const intervals = (2 * edgeDelay_s(context)) / fitted.time_s;
  const all = intervals > 0 ? Math.min(mostUnseen, intervals / (1 - Math.exp(-intervals))) : 1;
  return { ...fitted, volume_m3: fitted.volume_m3 * all };
}

/**
 * Water that was back before the next reading leaves no course to fit: it shows as a step between the level at the stop
 * and the level of the rest, where that is more than the edge's own uncertainty makes.
 */
function returnedAtOnce(
  { cycle, stopVolume_m3, lateStart_s }: EndedRun,
  after: RestSummary | null,
  fitted: DrainBack | null,
  { interval_s, longInterval_s, inferred }: TrackerContext,
): DrainBack | null {
  if (stopVolume_m3 === null || after?.startVolume_m3 == null || cycle.pumpRate === null) return null;
  if (inferred || longInterval_s > closelyRead_s) return null;
  // A run that came up late is bent more sharply than any fit: its end is not known well enough.
  if ((lateStart_s ?? 0) >= lateFrom_s) return null;
  const volume_m3 = after.startVolume_m3 - stopVolume_m3;
  const uStep_m3 = (cycle.pumpRate.flow_m3s * interval_s) / Math.sqrt(12);
  return volume_m3 - (fitted?.volume_m3 ?? 0) > 4 * uStep_m3
    ? { volume_m3, time_s: interval_s, course: "fading" }
    : null;
}

function learnPump(
  state: TrackerState,
  learned: LearnedPump,
  context: TrackerContext,
  ended: EndedRun,
  after: RestSummary | null,
  pumpRate: FlowEstimate,
): void {
  const { cycle, before, whole, halves } = ended;
  state.lastRate = pumpRate;
  const short =
    cycle.run_s < shortestTelling_s &&
    (whole !== null || (context.hasLevel && context.longInterval_s <= closelyRead_s));
  if (short || cycle.run_s > longestTelling_s) return;
  // In runs read off the level much inflow makes the turns of the level vague: the fall must be most of the rate.
  const certain = !context.inferred || (whole !== null && whole.flow_m3s > mostOfRate * pumpRate.flow_m3s);
  if (certain) noteRate(learned.history, pumpRate, seenOf(learned, context, ended, pumpRate));
  // Where readings are far apart, what fell by no more than chance was no run.
  const isRun = certain || context.longInterval_s <= closelyRead_s;
  if (isRun && pumpRate.uFlow_m3s < usable * pumpRate.flow_m3s)
    learnRun(learned.capability, pumpRate, ended.meanLevel_m ?? Number.NaN, 2 * (halves?.levelDrop_m ?? 0));
  const changed_m3s = (after?.first?.inflow.flow_m3s ?? Number.NaN) - (before?.last?.inflow.flow_m3s ?? Number.NaN);
  if (halves !== null && Number.isFinite(changed_m3s) && !context.inferred) {
    // What comes in may change meanwhile: evenly, as far as is known, and by half of that unevenly.
    const change_m3s = (changed_m3s * halves.apart_s) / cycle.run_s;
    const uDrop_m3s = Math.hypot(halves.uFlowDrop_m3s, change_m3s / 2);
    learnSlope(learned.capability, halves.levelDrop_m, halves.flowDrop_m3s - change_m3s, uDrop_m3s);
  }
}

/** Much inflow may make a run fall late: only after little does that say something of the pump. */
function seenOf(
  { capability }: LearnedPump,
  context: TrackerContext,
  { before, meanLevel_m, lateStart_s }: EndedRun,
  pumpRate: FlowEstimate,
): RunSeen {
  const inflow_m3s = before?.last?.inflow.flow_m3s ?? Number.POSITIVE_INFINITY;
  const shows = !context.inferred && context.longInterval_s <= closelyRead_s && inflow_m3s < little * pumpRate.flow_m3s;
  return {
    level_m: meanLevel_m,
    slope_m2s: capabilitySlope_m2s(capability),
    lateStart_s: shows ? lateStart_s : null,
  };
}
