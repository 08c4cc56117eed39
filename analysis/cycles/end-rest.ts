// The end of a rest: fits what its levels showed, settles the run before it, and hands its inflow on.

import {
  besideRuns,
  filledTooSoon,
  inflowFromActiveVolume,
  noPartRuns,
  type PartRuns,
  tookPart,
  wasHeldOn,
} from "../inflow/active-volume.ts";
import { mostFromPipe_m3 } from "../inflow/drain-back/drain-back.ts";
import { beginningOfRest, leaksBetween, rememberBeginning } from "../inflow/drain-back/seldom-return.ts";
import { learnedSlowReturn } from "../inflow/drain-back/slow-return.ts";
import { towardsCalm } from "../inflow/over-time/calm-mean.ts";
import { type StormCourse, stormCourse } from "../inflow/over-time/storm-course.ts";
import { betweenTrips, isReadSeldom, type UsualRest } from "../inflow/poured-in/between-trips.ts";
import { withFall } from "../inflow/poured-in/leap-or-water.ts";
import { takeOutLeapsBack } from "../inflow/poured-in/leapt-back.ts";
import {
  type Fitted,
  nothingFitted,
  sinceHung,
  undoLeap,
  withSudden,
  wokeUp,
} from "../inflow/poured-in/moved-at-once.ts";
import { type Pour, takeOutFall, takeOutPour } from "../inflow/poured-in/poured-in.ts";
import { pouredBefore } from "../inflow/poured-in/pouring-in.ts";
import { fitRest, type RestFit } from "../inflow/rest/fit-rest.ts";
import { type PlainRest, plainRest } from "../inflow/rest/plain-rest.ts";
import { noteSampleSd } from "../inflow/rest/rest-memory.ts";
import { addBack } from "../inflow/rest/rest-samples.ts";
import { leaveOutHeld, leaveOutHeldOverStop } from "../inflow/sensor-errors/held-levels.ts";
import { learnDrift } from "../inflow/sensor-errors/sensor-drift.ts";
import { capabilityAt, roughly } from "../pump-flow/pump-capability.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import { farUnder_m } from "../readings/out-of-water.ts";
import { leap_m } from "../readings/repeated-levels.ts";
import { tripsByNow, usualTrips } from "../readings/trip-levels.ts";
import type { CurveSamples } from "../statistics/fit-curve.ts";
import { quickEnough_ms } from "./by-level/level-runs-state.ts";
import type { Cycle, FlowEstimate } from "./cycle.ts";
import { type InflowAt, type RestSummary, withoutItsEnd } from "./ended-run.ts";
import { notePartOfRest } from "./part-of-rest.ts";
import {
  doubtFallInRest,
  fleeting_s,
  inflowTowards,
  isVagueBeside,
  passInflowOfRest,
  sureAtEnd_m3s,
  withBackAlike,
  withDoubtOfLeap,
  withLateEdges,
  withResolution,
} from "./rest-inflow.ts";
import { endRestOfFills } from "./rest-of-fills.ts";
import { chatterRun_s } from "./run-lengths.ts";
import { curveSamples, gathered, readingsOf, stood } from "./samples.ts";
import { settle } from "./settle-run.ts";
import { stoodOverStart } from "./stood-over-start.ts";
import { takeOutSpikes } from "./take-out-spikes.ts";
import { type TrackerContext, uEdges_s } from "./tracker-context.ts";
import { learnedBy, onlyFirstRan, type TrackerState } from "./tracker-state.ts";
import { moreInRest_m3 } from "./two-pumps/called-by.ts";
import { isMixed } from "./two-pumps/run-parts.ts";
import { fillsBetweenRuns, liesBeyondTrips, seenBetween } from "./unseen-runs.ts";

/** In a shorter rest water that settles and runs back is all that can be seen. */
const shortestRest_s = 5;
const chatterRest_s = 20;
/** Readings over the rim, less those under it since: so many make sure of it. */
const surelyOver = 3;
/** Less of a rest than this does not stand for the whole. */
const mostOfRest = 0.5;

/**
 * @param startSeen the rest ended with a start, not with a gap or the end of the data
 * @param next_m    levels read since, as far as they are known already
 */
export function endRest(
  state: TrackerState,
  context: TrackerContext,
  to_s: number,
  startSeen: boolean,
  next_m: readonly number[] = [],
): void {
  const from_s = state.phaseFrom_s ?? state.samples.origin_s;
  const duration_s = to_s - from_s;
  const stopSeen = state.phaseFrom_s !== null;
  const levelStood = context.levelStood === true;
  const chatter = isChatter(state, duration_s);
  // Right after a stop the water settles and runs back: a rest that is not seen to go on shows nothing else.
  const breaksOff = stopSeen && !startSeen && duration_s <= fleeting_s;
  const lasts = duration_s > 0 && !context.keptDown && !levelStood && !chatter && !breaksOff;
  const { last = null } = state.ended?.before ?? {};
  const mayPourOn = lasts && last !== null && state.memory.leaks !== true;
  if (mayPourOn && pouredBefore(last.inflow, curveSamples(state.samples))) state.memory.pouring = true;
  // Water that pours in before the start may go on after the stop, where no plain rest is looked at closely.
  const plain = lasts && !state.memory.pouring ? plainRest(curveSamples(state.samples)) : null;
  // Closer readings that are said again have been kept back already.
  const held =
    lasts &&
    context.interval_s > closelyRead_s &&
    leaveOutHeld(gathered(state.samples), state.ended?.last_m3 ?? null, context.equalShare ?? 1);
  if (lasts && plain === null) passOverHeld(state, context);
  if (lasts && plain === null) takeOutSpikes(state, context, state.ended?.stopVolume_m3 ?? null, next_m);
  const stands = plain === null && startSeen && stood(state.samples);
  const trips = plain === null ? usualTrips(state.trips) : null;
  const between = () => seenBetween(trips, state.ended?.cycle ?? null, context.interval_s);
  const fills = lasts && plain === null && !stands ? fillsBetweenRuns(state.samples, context, between()) : null;
  if (fills !== null && fills.length > 0) {
    endRestOfFills(state, context, curveSamples(state.samples), fills, from_s, to_s, {
      stopSeen,
      startSeen,
      afterStop: howToFit(state, context),
    });
    return;
  }
  const fitted =
    lasts && !stands && fills === null && !(plain === null && liesBeyondTrips(state.samples, context, trips))
      ? fitWithPour(state, context, duration_s, startSeen && stopSeen, plain)
      : nothingFitted;
  const noWater = isLoss(fitted, duration_s, context) || (startSeen && !stopSeen && endsUnderStop(fitted, context));
  const { fit, poured, leap } = noWater ? nothingFitted : fitted;
  const shown = fit ? ({ ...withResolution(fit, context), method: "fill-slope" } as const) : null;
  const share = fit ? (fit.seenTo_s - fit.seenFrom_s) / duration_s : 0;
  const whole = startSeen && stopSeen && state.overRim < surelyOver && !context.keptDown;
  const seen = shown && fit && share >= mostOfRest ? withDoubtOfLeap(shown, fit) : null;
  const meant = seen && fit && whole && !poured ? withLateEdges(seen, fit, duration_s, context) : seen;
  const overStart = stoodOverStart(state, context, from_s, to_s);
  const after = whole ? afterOddRun(state, context, duration_s) : null;
  const more_m3 = context.hasLevel ? 0 : moreInRest_m3(state.calls, context.floats ?? null, context.geometry);
  const filled = whole && !overStart && after === null && more_m3 !== null;
  const inflow = meant ?? (filled ? inflowFromActiveVolume(context, duration_s, more_m3) : null);
  const beside = inflow?.method === "active-volume" ? besideRuns(inflow) : inflow;
  const byCurve: RestSummary = {
    inflow,
    rest_s: stopSeen ? duration_s : null,
    startVolume_m3: fit?.startVolume_m3 ?? null,
    endVolume_m3: fit?.endVolume_m3 ?? null,
    sampleSd_m3: fit?.sampleSd_m3 ?? null,
    first: beside === null ? null : inflowTowards("beginning", fit, beside, from_s, to_s),
    last: beside === null ? null : inflowTowards("end", fit, beside, from_s, to_s),
    leap,
    ...(overStart && { overStart }),
    ...(chatter && { chatter }),
    ...(fitted.fell && { fell: true }),
    ...(fit?.leapParts && { inDoubt_m3: (fit.leapParts(1)[0] ?? 0) * (fit.seenTo_s - fit.seenFrom_s) }),
  };
  // Two pumps' floats trip at levels of their own, and a level that tells of the runs itself is no second witness.
  if (!context.inferred && onlyFirstRan(state)) {
    const trips = poured || !whole ? null : byCurve;
    learnDrift(state.memory.drift, trips?.startVolume_m3 ?? null, trips?.endVolume_m3 ?? null, duration_s);
  }
  // Levels that are held while the pump runs look like water that comes in as fast as it moves.
  const storm =
    poured || !startSeen || levelStood || held
      ? null
      : courseInStorm(state, context, fit, byCurve, from_s, to_s, plain !== null);
  const isVague = isVagueBeside(shown ?? inflow, state.lastInflow, duration_s);
  const known = isVague ? withEndsOf(byCurve, state.lastInflow) : byCurve;
  const summary = storm === null ? known : { ...byCurve, first: storm.first ?? byCurve.first, last: storm.last };
  if (fit !== undefined && !poured)
    noteSampleSd(state.memory, fit.sampleSd_m3, state.samples.count, context.interval_s);
  const movedBefore_m3s = state.moved_m3s;
  // A fleeting rest is handed on as the inflow known before it, which is moved no more.
  const tells = !isVague && storm === null && fit !== undefined && !fit.leapParts && share >= mostOfRest;
  const calm = tells ? shown : null;
  state.moved_m3s = calm === null ? 0 : towardsCalm(state.calm, calm, (from_s + to_s) / 2);
  const moved_m3s = (movedBefore_m3s + state.moved_m3s) / 2;
  const { ended } = state;
  settle(state, context, summary, stopSeen ? (fit?.drainBack ?? null) : null, storm?.run ?? null, moved_m3s);
  if (filled) state.partRuns = noPartRuns;
  else if (after !== "part" || state.partRuns === null || ended === null) state.partRuns = null;
  else state.partRuns = withPart(state.partRuns, ended.cycle.run_s, duration_s);
  const run_s = ended?.cycle.run_s ?? 0;
  const inStorm = storm === null ? null : withBackAlike(doubtFallInRest(storm.rest), fit, duration_s, run_s);
  if (inStorm !== null) context.output.inflow(from_s, to_s, inStorm);
  const sure_m3s = sureAtEnd_m3s(
    inStorm ?? passInflowOfRest(state, context, fit, shown ?? inflow, from_s, to_s, run_s),
  );
  state.before = sure_m3s === null ? summary : { ...summary, sure_m3s };
  notePartOfRest(state, context, to_s, startSeen, inflow);
  if (!isVague) state.lastInflow = shown ?? inflow ?? state.lastInflow;
  // Over the rim no level shows how much comes in: what did before says nothing of the run that follows.
  const spills = state.overRim >= surelyOver;
  if (!isVague) state.endInflow = spills ? null : (summary.last?.inflow ?? state.lastInflow);
}

/** A rest that shows too little says nothing of the runs beside it either: what was known before it goes on. */
function withEndsOf(rest: RestSummary, inflow: FlowEstimate | null): RestSummary {
  const goesOn = (end: InflowAt | null) => end && inflow && { ...end, inflow };
  return { ...rest, first: goesOn(rest.first), last: goesOn(rest.last) };
}

/** Whether the run before stopped elsewhere than where the float opens, by the floats alone. */
function afterOddRun(state: TrackerState, context: TrackerContext, rest_s: number): "part" | "held-on" | null {
  const { ended, endedParts } = state;
  if (ended === null || context.hasLevel) return null;
  const { startLevel_m, stopLevel_m } = context.basin;
  const middle_m = startLevel_m === null || stopLevel_m === null ? null : (startLevel_m + stopLevel_m) / 2;
  const moves = roughly(learnedBy(state, endedParts.set).capability, middle_m);
  const { run_s } = ended.cycle;
  if (tookPart(context, run_s, rest_s, moves)) return "part";
  const before_m3s = ended.before?.last?.inflow.flow_m3s ?? Number.POSITIVE_INFINITY;
  if (wasHeldOn(context, run_s, before_m3s, rest_s, moves)) return "held-on";
  return filledTooSoon(context, run_s, before_m3s, rest_s, moves) ? "part" : null;
}

function withPart({ runs, ran_s, paused_s }: PartRuns, run_s: number, rest_s: number): PartRuns {
  return { runs: runs + 1, ran_s: ran_s + run_s, paused_s: paused_s + rest_s };
}

/** No basin loses water within a minute of rest: the pump ran between two readings, or the surface rocked. */
const losesIn_s = 60;

/** Nor for longer as fast as a pump lowers it. */
function isLoss({ fit }: Fitted, duration_s: number, { geometry }: TrackerContext): boolean {
  if (fit === undefined || !(fit.inflow.flow_m3s < 0)) return false;
  if (duration_s < losesIn_s) return true;
  const volume_m3 = fit.endVolume_m3 ?? fit.startVolume_m3 ?? 0;
  return -fit.inflow.flow_m3s > quickEnough_ms * geometry.area_m2(geometry.level_m(volume_m3));
}

/** The pump started, and the level was far under where any stops, before it was seen to stop: no water stood there. */
function endsUnderStop({ fit }: Fitted, { basin, geometry }: TrackerContext): boolean {
  if (fit?.endVolume_m3 == null || basin.stopLevel_m === null) return false;
  return geometry.level_m(fit.endVolume_m3) < basin.stopLevel_m - farUnder_m;
}

function courseInStorm(
  state: TrackerState,
  context: TrackerContext,
  fit: RestFit | undefined,
  after: RestSummary,
  from_s: number,
  to_s: number,
  isPlain: boolean,
): StormCourse | null {
  const { samples, before, ended, endedParts, phaseFrom_s, memory } = state;
  if (fit !== undefined && fit.seenTo_s < to_s - from_s) return null;
  const known = ended !== null && phaseFrom_s !== null && !isMixed(endedParts) ? ended : null;
  const { sampleSd_m3 } = memory;
  const rest = { samples, fit, isPlain, from_s, to_s, after, ended: known, before: before?.last ?? null, sampleSd_m3 };
  return stormCourse(rest, context, learnedBy(state, endedParts.set).capability);
}

/** A sensor of coarser steps shows nothing of what a closing valve lets back, and makes up as much of what it does not. */
const hidesReturn_m3 = 0.002;
/** Between readings farther apart a whole run may go by unseen, and a tap runs for as long as a bucket takes. */
const atOnceSeen_s = 12;
const noReturn = { returns: null, mostReturn_m3: 0 };

/** @param plain what is known of the rest if it is plain */
function fitWithPour(
  state: TrackerState,
  context: TrackerContext,
  duration_s: number,
  endsSeen: boolean,
  plain: PlainRest | null,
): Fitted {
  const { geometry, resolution_m, basin } = context;
  const step_m3 = Number.isFinite(resolution_m) ? resolution_m * geometry.area_m2(basin.stopLevel_m ?? 0) : 0;
  const samples = curveSamples(state.samples);
  if (state.phaseFrom_s !== null) noteBeginning(state, context, samples);
  const isClose = context.interval_s <= atOnceSeen_s && plain === null;
  const { fall, sudden } = takeOutSudden(samples, state, { step_m3, isClose, isPlain: plain !== null });
  const moved = sudden ?? fall;
  const woke = moved === null ? false : wokeUp(samples, moved, state.lastInflow?.flow_m3s ?? 0);
  if (woke === true) return nothingFitted;
  const hung = sudden === null ? null : sinceHung(samples, sudden, state, context);
  const how = { ...howToFit(state, context), plain };
  const fit = fitRest(
    hung ?? samples,
    duration_s,
    step_m3 > hidesReturn_m3 ? { ...how, ...noReturn, step_m3 } : { ...how, step_m3 },
  );
  if (hung !== null) return { fit, poured: true, leap: null };
  const after = fit && fall !== null ? withFall(fit, fall) : fit;
  if (after !== undefined && fall !== null && endsSeen) undoLeap(after, fall, state, context);
  if (after !== undefined && sudden !== null)
    return withSudden(after, sudden, state, context, endsSeen && woke === false);
  if (after === undefined || fall !== null)
    return { fit: after, poured: sudden !== null || fall !== null, fell: fall !== null, leap: null };
  const readings = readingsOf(state.samples);
  const asked = endsSeen && isReadSeldom(readings, duration_s) && !leaksBetween(state.seldom);
  const usual = asked ? usualRest(state, context) : null;
  const whole = usual && betweenTrips(after, samples, readings, duration_s, usual, uEdges_s(context), step_m3);
  return { fit: whole ?? after, poured: whole !== null, leap: null };
}

/** Leaps, falls and pours; what is known to leak back after every stop is none of them. */
function takeOutSudden(
  samples: CurveSamples,
  { memory, phaseFrom_s }: TrackerState,
  { step_m3, isClose, isPlain }: { step_m3: number; isClose: boolean; isPlain: boolean },
): { fall: Pour | null; sudden: Pour | null } {
  const leak = isClose && phaseFrom_s !== null ? learnedSlowReturn(memory.slow) : null;
  if (leak !== null) addBack([samples], leak);
  if (!isPlain) takeOutLeapsBack(samples, step_m3);
  const fall = isClose ? takeOutFall(samples, step_m3) : null;
  const sudden = isClose ? takeOutPour(samples, step_m3) : null;
  if (leak !== null) addBack([samples], { ...leak, volume_m3: -leak.volume_m3 });
  return { fall, sudden };
}

/** What the sensor held over the stop is no level of the rest, nor does it show how far and how fast the run lowered it. */
function passOverHeld(state: TrackerState, { geometry, basin, interval_s }: TrackerContext): void {
  const { ended, endedParts } = state;
  // Between readings farther apart a run may go by unseen.
  if (interval_s > atOnceSeen_s || ended === null) return;
  const last_m3 = ended.last_m3 ?? null;
  const leap_m3 = leap_m * geometry.area_m2(basin.stopLevel_m ?? 0);
  const held = leaveOutHeldOverStop(gathered(state.samples), last_m3, leap_m3);
  // Up to the stop the water falls on by what the pump moves from one reading to the next.
  const moves_m3s =
    capabilityAt(learnedBy(state, endedParts.set).capability, null)?.flow_m3s ?? Number.POSITIVE_INFINITY;
  const first_m3 = Math.max(state.samples.y[0] ?? Number.NaN, state.samples.y[1] ?? Number.NaN);
  const fellAfter = last_m3 !== null && last_m3 - first_m3 > leap_m3 + moves_m3s * interval_s;
  if (held || (fellAfter && ended.lastSaidAgain === true)) state.ended = withoutItsEnd(ended);
}

/** Closer readings see what comes back. */
function noteBeginning(
  { seldom, ended, pumps, trips }: TrackerState,
  context: TrackerContext,
  samples: CurveSamples,
): void {
  const { basin, geometry, interval_s, longInterval_s } = context;
  if (ended === null || pumps.origin !== null || longInterval_s <= closelyRead_s) return;
  const stop_m = basin.stopLevel_m ?? usualTrips(trips)?.stop_m ?? null;
  if (stop_m === null) return;
  const stop_m3 = geometry.volume_m3(stop_m);
  const found = beginningOfRest(samples, ended.last_m3 ?? null, stop_m3, interval_s);
  if (found !== null) rememberBeginning(seldom, found);
}

/** Where the float of a pump that stands alone trips; null until that is seen. */
function usualRest({ trips, pumps }: TrackerState, { geometry }: TrackerContext): UsualRest | null {
  const usual = pumps.origin === null ? tripsByNow(trips) : null;
  if (usual === null) return null;
  const { start, stop } = usual;
  return {
    from_m3: geometry.volume_m3(stop.middle_m),
    to_m3: geometry.volume_m3(start.middle_m),
    uTrip_m3: Math.max(start.scatter_m, stop.scatter_m) * geometry.area_m2(start.middle_m),
  };
}

/** Switches on and off within seconds: between readings the pump may run unseen, and the water has no time to settle. */
function isChatter({ ended }: TrackerState, rest_s: number): boolean {
  return rest_s < shortestRest_s || (rest_s < chatterRest_s && ended !== null && ended.cycle.run_s < chatterRun_s);
}

function howToFit(state: TrackerState, context: TrackerContext) {
  const stopSeen = state.phaseFrom_s !== null;
  const fine = stopSeen && context.longInterval_s <= closelyRead_s;
  const mostReturn_m3 = state.ended === null ? Number.POSITIVE_INFINITY : lifted_m3(state.ended.cycle, context);
  return {
    returns: fine && !context.inferred ? state.returns : null,
    memory: state.memory,
    fall_m3s: state.ended?.cycle.pumpRate?.flow_m3s ?? null,
    stopSeen,
    leaksUnseen: context.longInterval_s > closelyRead_s && leaksBetween(state.seldom),
    mostReturn_m3,
    mostFromPipe_m3: mostFromPipe_m3(context.pipeHolds_m3, mostReturn_m3),
    // A turn of the level says less exactly than a switch when water began to run back.
    edgesVague: context.inferred,
    noise_m3: (context.levelNoise_m ?? 0) * context.geometry.area_m2(context.basin.stopLevel_m ?? 0),
  };
}

/** So many standard deviations longer than it was seen to last a run may have been. */
const longer = 2;

/** What the run before may have lifted at most. */
function lifted_m3({ pumpRate, run_s }: Cycle, context: TrackerContext): number {
  if (pumpRate !== null) return pumpRate.flow_m3s * (run_s + longer * uEdges_s(context));
  const { startLevel_m, stopLevel_m } = context.basin;
  if (startLevel_m === null || stopLevel_m === null) return Number.POSITIVE_INFINITY;
  return context.geometry.volume_m3(startLevel_m) - context.geometry.volume_m3(stopLevel_m);
}
