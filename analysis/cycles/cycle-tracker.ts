// Rests and runs in, cycles out: fits each stretch when it ends, hands the inflow on, and settles a cycle when the rest
// after its run has shown how much came back. Telling rest from run is done before.

import type { BasinGeometry } from "../geometry/basin.ts";
import type { DrainBack, RestFit } from "../inflow/fit-rest.ts";
import { fitRest } from "../inflow/fit-rest.ts";
import { fitRun, lostInSpinUp_s, type RunFit } from "../inflow/fit-run.ts";
import { type CapabilityState, capabilityAt, learnRun, learnSlope, newCapability } from "../inflow/pump-capability.ts";
import { newPumpHistory, noteRate, type PumpHistoryState } from "../inflow/pump-history.ts";
import { newReturnProfile, type ReturnProfileState } from "../inflow/return-profile.ts";
import type { BasinSite } from "../site.ts";
import type { Cycle, CycleStage, FlowEstimate } from "./cycle.ts";
import { addSample, curveSamples, emptySamples, restartSamples, type SamplesState } from "./samples.ts";

/** What is kept of a rest once its samples are gone. */
interface RestSummary {
  readonly inflow: Cycle["inflow"];
  readonly rest_s: number | null;
  /** Stored volume at its beginning (returned water included) and end; null without a level. */
  readonly startVolume_m3: number | null;
  readonly endVolume_m3: number | null;
  readonly middle_s: number;
}

/** A run that has ended and waits for the rest after it. */
interface EndedRun {
  cycle: Cycle;
  readonly before: RestSummary | null;
  /** Early and late fall of the volume and the inflow parts wanted for the time line; null without enough levels. */
  readonly early: FlowEstimate | null;
  readonly late: FlowEstimate | null;
  readonly parts: readonly { readonly fall: FlowEstimate; readonly level_m: number }[];
  readonly meanLevel_m: number | null;
  readonly halves: { readonly levelDrop_m: number; readonly flowDrop_m3s: number } | null;
}

export interface TrackerState {
  phase: "unknown" | "rest" | "run";
  /** Beginning of the phase; null when it was not seen. */
  phaseFrom_s: number | null;
  readonly samples: SamplesState;
  /** Readings of the phase that stood over the rim, less those that did not since. */
  overRim: number;
  before: RestSummary | null;
  ended: EndedRun | null;
  readonly returns: ReturnProfileState;
  capability: CapabilityState;
  readonly history: PumpHistoryState;
  lastInflow: FlowEstimate | null;
  lastRate: FlowEstimate | null;
}

export function newTracker(): TrackerState {
  return {
    phase: "unknown",
    phaseFrom_s: null,
    samples: emptySamples(),
    overRim: 0,
    before: null,
    ended: null,
    returns: newReturnProfile(),
    capability: newCapability(),
    history: newPumpHistory(),
    lastInflow: null,
    lastRate: null,
  };
}

export interface TrackerOutput {
  cycle(cycle: Cycle, stage: CycleStage): void;
  /** Water moved by a settled run; null if unknown. */
  pumped(cycle: Cycle, volume_m3: number | null): void;
  /** Inflow over equal parts of a stretch of time that follows the one before, or unknown (null). */
  inflow(from_s: number, to_s: number, parts: readonly FlowEstimate[] | null): void;
  start(time_s: number): void;
}

export interface TrackerContext {
  readonly basin: BasinSite;
  readonly geometry: BasinGeometry;
  /** Typical interval between readings: an edge is known no better. */
  readonly interval_s: number;
  /** Runs are read off the level. */
  readonly inferred: boolean;
  /** An interval that one in twenty exceeds. */
  readonly longInterval_s: number;
  /** Smallest step of the level sensor; Infinity before any is seen. */
  readonly resolution_m: number;
  readonly output: TrackerOutput;
}

/** Trip levels of a float repeat to about so much (standard uncertainty); common practice, no source. */
const uFloat_m = 0.004;
/** Readings further apart than this cannot show water that returns within seconds. */
const coarse_s = 5;
const rim_m = 0.003;
/** Readings over the rim, less those under it since: so many make sure of it, and no more are counted. */
const surelyOver = 3;
const longOver = 20;
/** Less of a rest than this does not stand for the whole. */
const mostOfRest = 0.5;
/** Shorter runs are spin-up for the most part: their rate says little of the pump's health. */
const shortestTelling_s = 8;
/** Runs longer than this show the inflow themselves, against what the pump is known to move. */
const longRun_s = 120;

export function trackSample(state: TrackerState, context: TrackerContext, time_s: number, level_m: number): void {
  if (state.phase === "unknown") return;
  // Over the rim the level says nothing of how much comes; there noise alone takes some readings below it.
  const over = level_m >= (context.basin.overflowLevel_m ?? Number.POSITIVE_INFINITY) - rim_m;
  const overBefore = state.overRim > 0;
  state.overRim = over ? Math.min(longOver, state.overRim + 1) : Math.max(0, state.overRim - 1);
  if (over || overBefore) return;
  if (Number.isNaN(state.samples.origin_s)) restartSamples(state.samples, time_s);
  addSample(state.samples, time_s, context.geometry.volume_m3(level_m));
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
  restartSamples(state.samples, seen ? time_s : Number.NaN);
}

/** What was in progress is lost from sight at `time_s`: a gap, or the end of the data. */
export function trackBreak(state: TrackerState, context: TrackerContext, time_s: number): void {
  if (state.phase === "rest") endRest(state, context, time_s, false);
  else settle(state, context, null);
  context.output.inflow(time_s, time_s, null);
  state.phase = "unknown";
  state.overRim = 0;
  state.phaseFrom_s = null;
  state.before = null;
  restartSamples(state.samples, Number.NaN);
}

function endRest(state: TrackerState, context: TrackerContext, to_s: number, startSeen: boolean): void {
  const from_s = state.phaseFrom_s ?? state.samples.origin_s;
  const duration_s = to_s - from_s;
  const stopSeen = state.phaseFrom_s !== null;
  const fine = stopSeen && context.longInterval_s <= coarse_s;
  const samples = curveSamples(state.samples);
  const fit = duration_s > 0 ? fitRest(samples, duration_s, fine ? state.returns : null) : undefined;
  const shown = fit ? ({ ...withResolution(fit, context), method: "fill-slope" } as const) : null;
  const share = fit ? (fit.seenTo_s - fit.seenFrom_s) / duration_s : 0;
  const between = startSeen && stopSeen && state.overRim < surelyOver;
  const inflow = share >= mostOfRest ? shown : between ? inflowFromActiveVolume(context, duration_s) : null;
  const summary: RestSummary = {
    inflow,
    rest_s: stopSeen ? duration_s : null,
    startVolume_m3: fit?.startVolume_m3 ?? null,
    endVolume_m3: fit?.endVolume_m3 ?? null,
    middle_s: from_s + duration_s / 2,
  };
  settle(state, context, summary, fine ? (fit?.drainBack ?? null) : null);
  if (fit && shown) passSeenInflow(context, fit, shown, from_s, to_s);
  else context.output.inflow(from_s, to_s, inflow === null ? null : [inflow]);
  state.lastInflow = shown ?? inflow ?? state.lastInflow;
  state.before = summary;
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

/** Inflow over the part of a rest that was seen; over the others it is unknown. */
function passSeenInflow(
  context: TrackerContext,
  fit: RestFit,
  shown: FlowEstimate,
  from_s: number,
  to_s: number,
): void {
  const { seenFrom_s, seenTo_s } = fit;
  if (seenFrom_s > 0) context.output.inflow(from_s, from_s + seenFrom_s, null);
  const last_s = fit.endVolume_m3 === null ? from_s + seenTo_s : to_s;
  const parts = Math.min(240, Math.max(1, Math.round((seenTo_s - seenFrom_s) / 15)));
  const flows = fit.inflowParts(parts).map((flow_m3s) => ({ ...shown, flow_m3s }));
  context.output.inflow(from_s + seenFrom_s, last_s, flows);
  if (last_s < to_s) context.output.inflow(last_s, to_s, null);
}

function endRun(state: TrackerState, context: TrackerContext, to_s: number): void {
  const from_s = state.phaseFrom_s;
  // A run that was not seen to begin has no length; two readings of one time give none either.
  if (from_s === null || !(to_s > from_s)) return;
  const run_s = to_s - from_s;
  const last_m3 = state.samples.y[Math.max(0, state.samples.count - 1)];
  const hasLevel = state.samples.count > 0;
  const fit = fitRun(curveSamples(state.samples), run_s, edgeDelay_s(context));
  const { before } = state;
  const { geometry } = context;
  const startVolume_m3 = before?.endVolume_m3 ?? (hasLevel ? (state.samples.y[0] ?? null) : null);
  const stopVolume_m3 = fit?.stopVolume_m3 ?? (hasLevel ? (last_m3 ?? null) : null);
  const wet_s = fit === undefined ? run_s : wetTime_s(fit, run_s, context);
  const edge_s = Math.min(longRun_s, wet_s);
  const early = fit?.fall(fit.upToSpeed_s, edge_s) ?? null;
  const late = wet_s < run_s ? early : (fit?.fall(Math.max(fit.upToSpeed_s, run_s - edge_s), run_s) ?? null);
  const cycle: Cycle = {
    startedAt_s: from_s,
    stoppedAt_s: to_s,
    run_s,
    rest_s: before?.rest_s ?? null,
    startLevel_m: startVolume_m3 === null ? null : geometry.level_m(startVolume_m3),
    stopLevel_m: stopVolume_m3 === null ? null : geometry.level_m(stopVolume_m3),
    inflow: before?.inflow ?? null,
    pumpRate: plus(early, before?.inflow ?? null) ?? rateFromActiveVolume(context, run_s, before?.inflow ?? null),
    drainBack_m3: null,
  };
  state.ended = {
    cycle,
    before,
    early,
    late,
    parts: fit === undefined || wet_s < run_s ? [] : runParts(fit, run_s, geometry),
    meanLevel_m: fit === undefined ? null : geometry.level_m(fit.volumeAt_m3(run_s / 2)),
    halves: fit === undefined ? null : compareHalves(fit, run_s, geometry),
  };
  context.output.cycle(cycle, "stopped");
}

/** How long a long run found water: one that goes on with the level down at the stop level runs dry at some time. */
function wetTime_s(fit: RunFit, run_s: number, { basin, geometry }: TrackerContext): number {
  const { stopLevel_m } = basin;
  if (stopLevel_m === null || run_s <= longRun_s) return run_s;
  for (let t = fit.upToSpeed_s + 5; t < run_s - 10; t += 2) {
    if (geometry.level_m(fit.volumeAt_m3(t)) <= stopLevel_m) return t;
  }
  return run_s;
}

function runParts(fit: RunFit, run_s: number, geometry: BasinGeometry): EndedRun["parts"] {
  if (run_s <= longRun_s) return [];
  const parts = Math.min(240, Math.ceil(run_s / 30));
  return Array.from({ length: parts }, (_, i) => {
    const from_s = Math.max(fit.upToSpeed_s, (run_s * i) / parts);
    const to_s = (run_s * (i + 1)) / parts;
    return { fall: fit.fall(from_s, to_s), level_m: geometry.level_m(fit.volumeAt_m3((from_s + to_s) / 2)) };
  });
}

function compareHalves(fit: RunFit, run_s: number, geometry: BasinGeometry): EndedRun["halves"] {
  const middle_s = (fit.upToSpeed_s + run_s) / 2;
  if (run_s > longRun_s || middle_s - fit.upToSpeed_s < 3) return null;
  const quarter_s = (middle_s - fit.upToSpeed_s) / 2;
  return {
    levelDrop_m:
      geometry.level_m(fit.volumeAt_m3(middle_s - quarter_s)) - geometry.level_m(fit.volumeAt_m3(middle_s + quarter_s)),
    flowDrop_m3s: fit.fall(fit.upToSpeed_s, middle_s).flow_m3s - fit.fall(middle_s, run_s).flow_m3s,
  };
}

/** The rest after the run is known (or will never be): the run's figures are final. */
function settle(
  state: TrackerState,
  context: TrackerContext,
  after: RestSummary | null,
  drainBack: DrainBack | null = null,
): void {
  const { ended } = state;
  if (ended === null) return;
  state.ended = null;
  const { cycle, before } = ended;
  const pumpRate = finalRate(ended, after, context, drainBack);
  const settled: Cycle = { ...cycle, pumpRate, drainBack_m3: drainBack?.volume_m3 ?? null };
  context.output.cycle(settled, "settled");
  const inflowMean = meanOf(before?.inflow ?? null, after?.inflow ?? null);
  context.output.pumped(settled, movedVolume_m3(cycle, before, after, inflowMean, drainBack) ?? byRate_m3(settled));
  const during = inflowDuringRun(state, ended, after);
  context.output.inflow(cycle.startedAt_s, cycle.stoppedAt_s, during);
  if (pumpRate !== null) {
    if (tellsOfHealth(ended, pumpRate, context)) noteRate(state.history, pumpRate);
    if (ended.early !== null && cycle.run_s <= 5 * longRun_s) {
      learnRun(state.capability, pumpRate, ended.meanLevel_m ?? Number.NaN);
      if (ended.halves !== null && before?.inflow && after?.inflow)
        learnSlope(state.capability, ended.halves.levelDrop_m, ended.halves.flowDrop_m3s);
    }
    state.lastRate = pumpRate;
  }
}

/** In runs read off the level, much inflow makes the turns of the level vague: then the fall must be most of the rate. */
function tellsOfHealth({ cycle, early }: EndedRun, pumpRate: FlowEstimate, { inferred }: TrackerContext): boolean {
  if (early === null || cycle.run_s < shortestTelling_s) return false;
  return !inferred || early.flow_m3s > 0.6 * pumpRate.flow_m3s;
}

function finalRate(
  ended: EndedRun,
  after: RestSummary | null,
  context: TrackerContext,
  drainBack: DrainBack | null,
): FlowEstimate | null {
  const { cycle, before, early, late } = ended;
  const inflowBefore = before?.inflow ?? null;
  const inflowAfter = after?.inflow ?? null;
  if (early !== null && late !== null) {
    if (cycle.run_s <= longRun_s) return plus(early, meanOf(inflowBefore, inflowAfter));
    return meanOf(plus(early, inflowBefore), plus(late, inflowAfter));
  }
  const inflow = meanOf(inflowBefore, inflowAfter);
  const moved = rateFromEnds(cycle, before, after, inflow, context, drainBack);
  return moved ?? rateFromActiveVolume(context, cycle.run_s, inflow);
}

/** Too few levels within the run: what is missing between the rests on either side, over the whole run. */
function rateFromEnds(
  cycle: Cycle,
  before: RestSummary | null,
  after: RestSummary | null,
  inflow: FlowEstimate | null,
  context: TrackerContext,
  drainBack: DrainBack | null,
): FlowEstimate | null {
  const pumped_m3 = movedVolume_m3(cycle, before, after, inflow, drainBack);
  if (pumped_m3 === null || inflow === null || lengthUnknown(cycle.run_s, context)) return null;
  const moved_m3 = pumped_m3 - inflow.flow_m3s * cycle.run_s;
  const uRun_s = uEdges_s(context);
  const upToSpeed_s = pumpingTime_s(cycle.run_s, uRun_s);
  const flow_m3s = moved_m3 / upToSpeed_s;
  return {
    flow_m3s: flow_m3s + inflow.flow_m3s,
    uFlow_m3s: Math.hypot((flow_m3s * uRun_s) / upToSpeed_s, inflow.uFlow_m3s),
    degreesOfFreedom: Number.POSITIVE_INFINITY,
  };
}

/** Balance over a run: what was there before less what is there after, what ran back, and what came in meanwhile. */
function movedVolume_m3(
  cycle: Cycle,
  before: RestSummary | null,
  after: RestSummary | null,
  inflow: FlowEstimate | null,
  drainBack: DrainBack | null,
): number | null {
  if (before?.endVolume_m3 == null || after?.startVolume_m3 == null || inflow === null) return null;
  if (cycle.run_s > longRun_s) return null;
  return before.endVolume_m3 - after.startVolume_m3 + (drainBack?.volume_m3 ?? 0) + inflow.flow_m3s * cycle.run_s;
}

function byRate_m3({ pumpRate, run_s }: Cycle): number | null {
  return pumpRate === null ? null : pumpRate.flow_m3s * Math.max(run_s - lostInSpinUp_s, run_s / 2);
}

function inflowDuringRun(state: TrackerState, ended: EndedRun, after: RestSummary | null): FlowEstimate[] | null {
  const { cycle, before } = ended;
  const first = before?.inflow ?? null;
  const last = after?.inflow ?? null;
  if (cycle.run_s > longRun_s && ended.parts.length > 0) {
    const parts = ended.parts.map(({ fall, level_m }) => minus(capabilityAt(state.capability, level_m), fall));
    const known = parts.filter((part) => part !== null);
    if (known.length === parts.length) return known;
  }
  if (first === null || last === null) {
    const one = first ?? last;
    return one === null ? null : [one];
  }
  const parts = Math.min(60, Math.max(1, Math.round(cycle.run_s / 10)));
  const from_s = before?.middle_s ?? cycle.startedAt_s;
  const to_s = after?.middle_s ?? cycle.stoppedAt_s;
  return Array.from({ length: parts }, (_, i) => {
    const time_s = cycle.startedAt_s + (cycle.run_s * (i + 0.5)) / parts;
    const share = (time_s - from_s) / (to_s - from_s);
    return {
      flow_m3s: first.flow_m3s * (1 - share) + last.flow_m3s * share,
      uFlow_m3s: Math.hypot(first.uFlow_m3s * (1 - share), last.uFlow_m3s * share),
      degreesOfFreedom: Math.min(first.degreesOfFreedom, last.degreesOfFreedom),
    };
  });
}

function inflowFromActiveVolume(context: TrackerContext, rest_s: number): Cycle["inflow"] {
  const active = activeVolume(context);
  if (active === null || !(rest_s > 0)) return null;
  const flow_m3s = active.volume_m3 / rest_s;
  return {
    flow_m3s,
    uFlow_m3s: Math.hypot(active.uVolume_m3 / rest_s, (flow_m3s * uEdges_s(context)) / rest_s),
    degreesOfFreedom: Number.POSITIVE_INFINITY,
    method: "active-volume",
  };
}

function rateFromActiveVolume(
  context: TrackerContext,
  run_s: number,
  inflow: FlowEstimate | null,
): FlowEstimate | null {
  const active = activeVolume(context);
  if (active === null || inflow === null || !(run_s > 0) || lengthUnknown(run_s, context)) return null;
  const upToSpeed_s = pumpingTime_s(run_s, uEdges_s(context));
  const flow_m3s = active.volume_m3 / upToSpeed_s;
  const uFall_m3s = Math.hypot(active.uVolume_m3 / run_s, (flow_m3s * uEdges_s(context)) / run_s);
  return {
    flow_m3s: flow_m3s + inflow.flow_m3s,
    uFlow_m3s: Math.hypot(uFall_m3s, inflow.uFlow_m3s),
    degreesOfFreedom: Number.POSITIVE_INFINITY,
  };
}

/** Between the two float levels, each uncertain by the float's repeatability. */
function activeVolume(context: TrackerContext): { volume_m3: number; uVolume_m3: number } | null {
  const { startLevel_m, stopLevel_m } = context.basin;
  if (startLevel_m === null || stopLevel_m === null) return null;
  const { volume_m3, area_m2 } = context.geometry;
  return {
    volume_m3: volume_m3(startLevel_m) - volume_m3(stopLevel_m),
    uVolume_m3: uFloat_m * Math.hypot(area_m2(startLevel_m), area_m2(stopLevel_m)),
  };
}

/** Length of a run at full flow; the mean of 1/time is a little more than 1/mean, by the variance of the edges. */
function pumpingTime_s(run_s: number, uRun_s: number): number {
  return Math.max(run_s - lostInSpinUp_s, run_s / 2) + uRun_s ** 2 / run_s;
}

/** A run about as short as the readings are apart has an unknown length, and so an unknown rate. */
function lengthUnknown(run_s: number, context: TrackerContext): boolean {
  return uEdges_s(context) > 0.3 * run_s;
}

/** A switch that is seen at a reading happened, on the average, half an interval before. */
function edgeDelay_s({ interval_s, inferred }: TrackerContext): number {
  return inferred || !Number.isFinite(interval_s) ? 0 : interval_s / 2;
}

/** Two edges, each somewhere within one interval between readings. */
function uEdges_s(context: TrackerContext): number {
  return Number.isFinite(context.interval_s) ? context.interval_s / Math.sqrt(6) : 0;
}

function plus(a: FlowEstimate | null, b: FlowEstimate | null): FlowEstimate | null {
  if (a === null || b === null) return null;
  return {
    flow_m3s: a.flow_m3s + b.flow_m3s,
    uFlow_m3s: Math.hypot(a.uFlow_m3s, b.uFlow_m3s),
    degreesOfFreedom: Math.min(a.degreesOfFreedom, b.degreesOfFreedom),
  };
}

function minus(a: FlowEstimate | null, b: FlowEstimate): FlowEstimate | null {
  return plus(a, { ...b, flow_m3s: -b.flow_m3s });
}

function meanOf(a: FlowEstimate | null, b: FlowEstimate | null): FlowEstimate | null {
  if (a === null || b === null) return a ?? b;
  return {
    flow_m3s: (a.flow_m3s + b.flow_m3s) / 2,
    uFlow_m3s: Math.hypot(a.uFlow_m3s, b.uFlow_m3s) / 2,
    degreesOfFreedom: Math.min(a.degreesOfFreedom, b.degreesOfFreedom),
  };
}
