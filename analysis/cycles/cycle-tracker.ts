// Rests and runs in, cycles out: keeps the samples of the phase in progress and says what happens, in which order, when
// one ends. Telling rest from run is done before.

import type { BasinGeometry } from "../geometry/basin.ts";
import type { BasinSite } from "../site.ts";
import { orNone } from "../statistics/towards.ts";
import type { Point } from "./by-level/falling-level.ts";
import { endRest } from "./end-rest.ts";
import { forgetLoad } from "./running-load.ts";
import { addSample, addSamples, forgetAfter, restartSamples } from "./samples.ts";
import { endRun, settle } from "./settle-run.ts";
import { switchedSooner } from "./switched-sooner.ts";
import { farApart_s, type TrackerContext } from "./tracker-context.ts";
import type { TrackerState } from "./tracker-state.ts";
import { forgetCalls, forgetWhoRan, noteCall } from "./two-pumps/called-by.ts";
import { endPart } from "./two-pumps/mixed-run.ts";
import type { PumpSet } from "./two-pumps/pump-sets.ts";
import { newRunParts } from "./two-pumps/run-parts.ts";

const rim_m = 0.003;
/** Floats scatter, and a fast rise is seen late: so far over the start level it is neither. */
const overStart_m = 0.03;
/** Of readings over the rim, less those under it since, no more are counted. */
const longOver = 20;

export function trackSample(state: TrackerState, context: TrackerContext, time_s: number, level_m: number): void {
  if (state.phase === "unknown") return;
  const brim_m = context.basin.overflowLevel_m ?? Number.POSITIVE_INFINITY;
  // Over the rim the level says nothing of how much comes; there noise alone takes some readings below it.
  const over = level_m >= brim_m - rim_m;
  const overBefore = state.overRim > 0;
  state.overRim = over ? Math.min(longOver, state.overRim + 1) : Math.max(0, state.overRim - 1);
  // … but that a pump that is known to run moves no more than that: the basin stays full.
  const knownToRun = state.phase === "run" && !context.inferred;
  if (((over || overBefore) && !knownToRun) || mayBeHeld(state, context, level_m)) return;
  if (Number.isNaN(state.samples.origin_s)) restartSamples(state.samples, time_s);
  addSample(state.samples, time_s, context.geometry.volume_m3(Math.min(level_m, brim_m)));
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

/** @param next_m levels read from then on, as far as they are known already */
export function trackEdge(
  state: TrackerState,
  context: TrackerContext,
  time_s: number,
  on: boolean,
  next_m: readonly number[] = [],
): void {
  const sooner = switchedSooner(state, context, time_s, next_m);
  if (sooner !== null) {
    forgetAfter(state.samples, sooner.before_s);
    takeEdge(state, context, sooner.time_s, on, [context.geometry.level_m(sooner.volume_m3), ...next_m]);
    addSample(state.samples, sooner.time_s, sooner.volume_m3);
  } else takeEdge(state, context, time_s, on, next_m);
  if (!on) noteLateStop(state, sooner === null ? 0 : time_s - sooner.time_s);
}

const stopsRemembered = 50;

function noteLateStop(state: TrackerState, late_s: number): void {
  const { stopsLate_s = 0 } = state;
  if (late_s > 0 || stopsLate_s > 0) state.stopsLate_s = orNone(stopsLate_s + (late_s - stopsLate_s) / stopsRemembered);
}

/** A contact that has been late at two stops of late may be at others, where no reading shows it; at one a level may have erred. */
const oftenLate = 1.5 / stopsRemembered;

/** By how much, at the most, a stop may be seen later than at the reading that shows it. */
export function stopsLateBy_s({ stopsLate_s = 0 }: TrackerState, interval_s: number): number {
  return stopsLate_s > oftenLate * interval_s ? interval_s : 0;
}

function takeEdge(
  state: TrackerState,
  context: TrackerContext,
  time_s: number,
  on: boolean,
  next_m: readonly number[],
): void {
  // The first state after a beginning or a gap was not seen to begin.
  const seen = state.phase !== "unknown";
  if (on && seen) context.output.start(time_s);
  if (on) noteWhoIsCalled(state, context, time_s);
  if (state.phase === "rest" && on) endRest(state, context, time_s, true, next_m);
  else if (state.phase === "run" && !on) endRun(state, context, time_s, next_m);
  state.phase = on ? "run" : "rest";
  state.overRim = 0;
  if (state.unseenRuns !== undefined) state.unseenRuns = 0;
  state.phaseFrom_s = seen ? time_s : null;
  if (!seen && !on) state.unbegunFrom_s = time_s;
  state.inRun = newRunParts(on ? state.pumps.set : 0, time_s);
  restartSamples(state.samples, seen ? time_s : Number.NaN);
}

/** Runs that look no longer than this many intervals may go by unseen, and who runs next says nothing. */
const seenEach = 1.5;

function noteWhoIsCalled(state: TrackerState, { floats, interval_s }: TrackerContext, time_s: number): void {
  const { calls, pumps, phase, phaseFrom_s, typicalRun_s } = state;
  if (!floats || pumps.origin === null) return;
  const rest_s = phase === "rest" && phaseFrom_s !== null ? time_s - phaseFrom_s : Number.NaN;
  const seesEach = interval_s < farApart_s && typicalRun_s > seenEach * interval_s;
  if (seesEach) noteCall(calls, pumps.set, rest_s, floats);
  else forgetCalls(calls);
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
    forgetWhoRan(state.calls);
  }
  inRun.set = set;
  inRun.pausedAt_s = Number.NaN;
}

/** More readings than this are no beginning; so many are kept singly. */
const mostFirst = 64;

/** The levels of a rest that was not seen to begin, of few readings: it is as if none had come, and runs may be read off them. */
export function takeFirstRest(state: TrackerState, geometry: BasinGeometry): Point[] {
  const { phase, phaseFrom_s, samples } = state;
  if (phase !== "rest" || phaseFrom_s !== null || samples.count === 0 || samples.taken > mostFirst) return [];
  const levels = Array.from({ length: samples.count }, (_, i) => ({
    time_s: samples.origin_s + (samples.t[i] as number),
    level_m: geometry.level_m(samples.y[i] as number),
  }));
  state.phase = "unknown";
  restartSamples(samples, Number.NaN);
  return levels;
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
  if (state.unseenRuns !== undefined) state.unseenRuns = 0;
  state.phaseFrom_s = null;
  state.inRun = newRunParts(0, Number.NaN);
  forgetLoad(state.load);
  forgetCalls(state.calls);
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
