// The end of a run, and its settling once the rest after it has shown how much came back: then its figures are final.

import { inflowOverLongRun } from "../inflow/active-volume.ts";
import type { DrainBack } from "../inflow/drain-back/drain-back.ts";
import { learnedLag } from "../inflow/drain-back/return-profile.ts";
import { returned, toldReturn_m3 } from "../inflow/drain-back/returned-water.ts";
import { highestOf } from "../inflow/over-time/volume-course.ts";
import { inflowBeside } from "../inflow/poured-in/beside-run.ts";
import { type LikelyLeap, leapOrWater } from "../inflow/poured-in/leap-or-water.ts";
import { pouredAsItStarts, type UsualStart } from "../inflow/poured-in/poured-as-it-starts.ts";
import { withPouredBefore } from "../inflow/poured-in/poured-before-start.ts";
import { pouredInRun } from "../inflow/poured-in/poured-in-run.ts";
import { capabilityLine } from "../pump-flow/capability-line.ts";
import { spinUp_s } from "../pump-flow/fit-run.ts";
import { inflowDuringRun } from "../pump-flow/inflow-during-run.ts";
import { wentOnAndOff } from "../pump-flow/on-and-off.ts";
import { capabilityAt, roughly } from "../pump-flow/pump-capability.ts";
import { noteComingUp, severalAreLate } from "../pump-flow/pump-change.ts";
import { fewestUsual, noteRunTime } from "../pump-flow/pump-history.ts";
import { finalRate } from "../pump-flow/run-rate.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import { noteTrips, tripsByNow, usualTrips } from "../readings/trip-levels.ts";
import type { Cycle, FlowEstimate } from "./cycle.ts";
import { type EndedRun, endedRun, type RestSummary } from "./ended-run.ts";
import { mayBeInStep } from "./in-step.ts";
import { learnLeak, learnPump, learnStart, learnTogether } from "./learn-from-run.ts";
import { movedByRun } from "./moved-by-run.ts";
import { doubtInRun } from "./rest-inflow.ts";
import { longRun_s } from "./run-lengths.ts";
import { takeLoad } from "./running-load.ts";
import { curveSamples, restartSamples } from "./samples.ts";
import { takeOutSpikes } from "./take-out-spikes.ts";
import { byLevelAlone, edgeDelay_s, farApart_s, type TrackerContext } from "./tracker-context.ts";
import { briefly, type LearnedPump, learnedBy, type TrackerState } from "./tracker-state.ts";
import { tripsOfRun } from "./trips-of-run.ts";
import { moreInRun_m3 } from "./two-pumps/called-by.ts";
import { endMixedRun, settleMixed } from "./two-pumps/mixed-run.ts";
import { nameOf, type PumpSet, rateIsOf, takeShares } from "./two-pumps/pump-sets.ts";
import { isMixed } from "./two-pumps/run-parts.ts";

/**
 * The run has just stopped: its figures are those known so far, and it waits for the rest after it.
 *
 * @param next_m levels read since, as far as they are known already
 */
export function endRun(
  state: TrackerState,
  context: TrackerContext,
  to_s: number,
  next_m: readonly number[] = [],
): void {
  const from_s = state.phaseFrom_s;
  const shares = takeShares(state.pumps, from_s ?? to_s, to_s);
  const load = takeLoad(state.load);
  // A run that was not seen to begin has no length; two readings of one time give none either.
  if (from_s === null || !(to_s > from_s)) return;
  const run_s = to_s - from_s;
  state.typicalRun_s = Number.isNaN(state.typicalRun_s) ? run_s : state.typicalRun_s + (run_s - state.typicalRun_s) / 8;
  state.memory.short.length_s = Math.max(spinUp_s, state.typicalRun_s - spinUp_s);
  if (context.levelStood === true) standStill(state, context);
  const { y, count } = curveSamples(state.samples);
  const lastRead_m3 = y[count - 1] ?? null;
  const lastSaidAgain = count > 1 && y[count - 2] === lastRead_m3;
  takeOutSpikes(state, context, state.before?.endVolume_m3 ?? null, next_m);
  const ended = isMixed(state.inRun)
    ? endMixedRun(state, context, to_s)
    : endedRun(
        state.samples,
        context,
        from_s,
        to_s,
        state.before,
        state.memory.short,
        lagOfSensor_s(state, context),
        moreInRun_m3(state.calls, context.floats ?? null, context.geometry),
      );
  const cycle: Cycle = {
    ...ended.cycle,
    ...(!context.inferred && besideOf(ended, null, learnedBy(state, state.inRun.set)) !== null && { pumpRate: null }),
    ...(shares !== null &&
      !context.inferred && { pumps: { ...shares, rateOf: ended.cycle.pumpRate && nameOf(state.inRun.set) } }),
    ...(load.current !== null && { runningCurrent: load.current }),
    ...(load.power !== null && { runningPower: load.power }),
  };
  state.ended = {
    ...ended,
    cycle,
    last_m3: lastRead_m3,
    ...(lastSaidAgain && { lastSaidAgain }),
    ...(standsForNothing(cycle, context) && { parts: [], course: null, farApart: ended.course }),
  };
  state.endedParts = state.inRun;
  if (mayBeInStep(cycle, movesUntaught(state, context), context)) leaveInStep(state, context, cycle);
  else context.output.cycle(cycle, "stopped");
}

/** What ran in beside a run that no rest shows; null where nothing did. */
function besideOf(
  ended: EndedRun,
  after: RestSummary | null,
  { capability, history }: LearnedPump,
): FlowEstimate | null {
  const startsAtOnce = history.timelyStarts >= fewestUsual && !severalAreLate(history);
  return startsAtOnce ? inflowBeside(ended, after, capabilityAt(capability, ended.meanLevel_m)) : null;
}

/**
 * By the published curve, as long as no runs have shown it. What runs read off the level alone tell together they tell as if
 * none of them were in step with the readings.
 */
function movesUntaught(state: TrackerState, context: TrackerContext): FlowEstimate | null {
  const { basin } = context;
  const { capability } = learnedBy(state, state.inRun.set);
  if (capabilityLine(capability) !== null || (capability.pooled > 0 && !byLevelAlone(context))) return null;
  if (basin.startLevel_m === null || basin.stopLevel_m === null) return null;
  return roughly(capability, (basin.startLevel_m + basin.stopLevel_m) / 2);
}

/** Neither the run nor the rest before it may be one: no more is known than that so much came in at the least. */
function leaveInStep(state: TrackerState, { output }: TrackerContext, cycle: Cycle): void {
  const nothing: Cycle = { ...cycle, inflow: null, pumpRate: null };
  state.ended = null;
  learnedBy(state, state.inRun.set).capability.pooledUpTo_s = Number.NaN;
  output.cycle(nothing, "stopped");
  output.cycle(nothing, "settled");
  const { lastInflow } = state;
  output.inflow(
    cycle.startedAt_s,
    cycle.stoppedAt_s,
    lastInflow && [{ ...lastInflow, flow_m3s: Math.max(0, lastInflow.flow_m3s), unseenCourse: "least" }],
  );
}

/**
 * No run moved the level: it shows nothing of this one nor of the rest before, and what rose there at once was no water. What
 * the floats tell of the rest stays so.
 */
function standStill(state: TrackerState, { output }: TrackerContext): void {
  const { rest_s = null, inDoubt_m3 = 0, inflow = null } = state.before ?? {};
  if (inDoubt_m3 > 0) output.leapt(inDoubt_m3);
  restartSamples(state.samples, Number.NaN);
  if (inflow?.method === "active-volume") return;
  state.before = { inflow: null, rest_s, startVolume_m3: null, endVolume_m3: null, first: null, last: null };
}

/** As rests after runs told by a signal have shown it. */
function lagOfSensor_s({ returns, lastRate }: TrackerState, { inferred }: TrackerContext): number {
  return inferred ? 0 : (learnedLag(returns, lastRate?.flow_m3s ?? null)?.time_s ?? 0);
}

/** A pump that empties a basin takes it down by more of the swing. */
const emptied = 0.4;

/**
 * Where readings are far apart two wrong levels in a row look like a run: it lowers nothing in the end, and is no measure of
 * what came in meanwhile.
 */
function standsForNothing({ startLevel_m, stopLevel_m }: Cycle, { inferred, interval_s, basin }: TrackerContext) {
  if (!inferred || interval_s < farApart_s || startLevel_m === null || stopLevel_m === null) return false;
  if (basin.startLevel_m === null || basin.stopLevel_m === null) return false;
  return startLevel_m - stopLevel_m < emptied * (basin.startLevel_m - basin.stopLevel_m);
}

/** The rest after the run is known (or will never be): the run's figures are final. */
export function settle(
  state: TrackerState,
  context: TrackerContext,
  after: RestSummary | null,
  fitted: DrainBack | null,
  inStorm: FlowEstimate[] | null = null,
  moved_m3s = 0,
): void {
  const { ended: unsettled } = state;
  if (unsettled === null) return;
  state.ended = null;
  const ranBefore = state.ranLast ?? 0;
  state.ranLast = isMixed(state.endedParts) ? 3 : state.endedParts.set;
  if (isMixed(state.endedParts)) {
    settleMixed(state, context, unsettled, after, fitted);
    return;
  }
  const { set } = state.endedParts;
  const learned = learnedBy(state, set);
  // What a slow sensor has still to show of the run hides what runs back meanwhile.
  const lag_s = lagOfSensor_s(state, context);
  const drainBack = lag_s > 0 ? null : returned(state, context, unsettled, after, fitted);
  const ended = drawnDown(unsettled, after, drainBack, context);
  const overtaken = overtakenUnseen(ended, after, learned, context);
  const beside = context.inferred ? null : besideOf(ended, after, learned);
  const helped = mayHaveHelp(ended, context, usualTrips(state.trips)?.start_m ?? null);
  const bobbed =
    (context.floatBobs?.(ended.cycle.startedAt_s, ended.cycle.stoppedAt_s) ?? 0) > 0 ||
    (context.inferred && ranByTurns(ended, after, learned));
  // Nothing shows what a pump moves whose inflow is reckoned by that, nor where another may move a part, nor one that stood for
  // moments within the run.
  const pumpRate =
    overtaken === null && beside === null && !helped && !bobbed
      ? finalRate(ended, after, learned.capability, context, drainBack, state.partRuns)
      : null;
  const leap = sensorsLeap(ended, after);
  if (leap !== null) context.output.leapt(leap.volume_m3);
  const told_m3 = context.levelTosses === true ? null : toldReturn_m3(state, drainBack, context);
  const cycle: Cycle = {
    ...ended.cycle,
    ...(leap !== null && { inflow: { ...leap.inflow, method: "fill-slope" } }),
    pumpRate,
    drainBack_m3: told_m3,
    ...rateIsOf(ended.cycle, pumpRate === null ? 0 : set),
  };
  // What the run moved was in the basin again before any reading showed it: as much as is told to have come back.
  const allBack =
    told_m3 !== null && told_m3 > (drainBack?.volume_m3 ?? 0)
      ? { volume_m3: told_m3, time_s: context.interval_s, course: "fading" as const }
      : drainBack;
  const closelyRead = context.longInterval_s <= closelyRead_s;
  const told =
    inStorm ??
    (overtaken && [overtaken]) ??
    (beside && [beside]) ??
    inflowDuringRun(learned.capability, ended, after, closelyRead, edgeDelay_s(context)) ??
    briefly(state, ended);
  const during = helped ? asLeast(told) : told;
  const calmed = inStorm === null && cycle.run_s <= longRun_s ? movedBy(during, moved_m3s) : during;
  const moves = capabilityAt(learned.capability, null);
  const poured =
    pouredInRun(ended, after, calmed, moves, severalAreLate(learned.history), context, lag_s) ??
    (inStorm === null ? pouredAsItStarts(ended, after, moves, () => usualStart(state, context), context, lag_s) : null);
  const settled =
    poured === null
      ? cycle
      : withPouredBefore(cycle, ended.before?.endVolume_m3 ?? null, poured, usualStart(state, context));
  context.output.cycle(settled, "settled");
  const flows = poured !== null && helped ? asLeast(poured) : (poured ?? calmed);
  const moved = movedByRun(
    {
      ended,
      cycle,
      after,
      drainBack: allBack,
      during: poured ?? during,
      overtaken: overtaken !== null,
      ofTwoPumps: state.pumps.origin !== null,
    },
    learned,
    context,
  );
  context.output.pumped(cycle, helped ? null : moved.volume_m3, moved.uLength_m3);
  context.output.inflow(cycle.startedAt_s, cycle.stoppedAt_s, doubtInRun(flows, ended.before, after));
  // Without a level a long run between rests in which little came in is one of a float that hung.
  if (flows === null && cycle.run_s > longRun_s && context.hasLevel) context.output.unknown(cycle.run_s);
  // A part of a run lifts less than a rest brings, and begins where the water still moves.
  const isPart = bobbed || ended.before?.chatter === true || after?.chatter === true;
  if (!isPart && beside === null) noteRunTime(learned.history, cycle, context.longInterval_s);
  const begun = isPart || beside !== null ? { ...ended, lateStart_s: null } : ended;
  if (pumpRate !== null && !isPart) learnLeak(state, learned, context, begun, after, pumpRate);
  if (pumpRate !== null) learnPump(state, learned, context, begun, after, pumpRate);
  else learnStart(learned, context, begun);
  noteComingUp(learned.history);
  // Of two pumps the time run is that of either.
  if (state.pumps.origin === null) learnTogether(learned, context, cycle, after, ended);
  // The second pump's float trips at levels of its own.
  if (set > 1) return;
  const trips = tripsOfRun(ended, after, pumpRate, drainBack?.volume_m3 ?? null, context);
  // Of runs that nobody can follow one by one the levels say nothing of the float.
  if (trips === null || !context.hasLevel || context.byShare) return;
  if (isCalledAbove(state, ranBefore, trips.start_m, context)) return;
  noteTrips(state.trips, trips);
}

/** The upper of two floats called the pump twice running, for the other whose turn it was. */
function isCalledAbove(
  { trips }: TrackerState,
  ranBefore: PumpSet,
  start_m: number,
  { upperStart_m = null, takesTurns = false }: TrackerContext,
): boolean {
  const usual_m = usualTrips(trips)?.start_m ?? null;
  if (!takesTurns || ranBefore !== 1 || upperStart_m === null || usual_m === null) return false;
  return start_m > (usual_m + upperStart_m) / 2;
}

/**
 * The water rose to nearer where a second pump starts that nothing tells of than to where the first does: what that moves looks
 * like water that comes no more.
 *
 * @param seen_m where the first pump has been seen to start; null before that shows
 */
function mayHaveHelp(ended: EndedRun, context: TrackerContext, seen_m: number | null): boolean {
  const { unheardStart_m = null, basin, geometry, longInterval_s } = context;
  const { before, course } = ended;
  const first_m = Math.max(basin.startLevel_m ?? Number.NaN, seen_m ?? 0);
  if (unheardStart_m === null || !(unheardStart_m > first_m)) return false;
  const nearer_m3 = geometry.volume_m3((first_m + unheardStart_m) / 2);
  // The end of the rest is carried on to the reading at which the start was seen.
  const risesUnseen_m3 = (before?.last?.inflow.flow_m3s ?? 0) * longInterval_s;
  if ((before?.endVolume_m3 ?? 0) - risesUnseen_m3 > nearer_m3) return true;
  return course !== null && highestOf(course).top_m3 > nearer_m3;
}

/** By the level alone a float that chatters makes one long run of many short ones. */
function ranByTurns({ course, before }: EndedRun, after: RestSummary | null, { capability }: LearnedPump): boolean {
  const moves = capabilityAt(capability, null);
  const inflow = after?.first?.inflow ?? before?.last?.inflow ?? null;
  if (course === null || moves === null || inflow === null || before?.sampleSd_m3 == null) return false;
  return wentOnAndOff(course, moves.flow_m3s - inflow.flow_m3s, before.sampleSd_m3);
}

/** Where the float of a pump that stands alone closes; null until that is seen. */
function usualStart({ trips, pumps }: TrackerState, { geometry }: TrackerContext): UsualStart | null {
  const seen = pumps.origin === null ? tripsByNow(trips) : null;
  if (seen === null) return null;
  const { middle_m, scatter_m } = seen.start;
  return { volume_m3: geometry.volume_m3(middle_m), uVolume_m3: scatter_m * geometry.area_m2(middle_m) };
}

function asLeast(flows: FlowEstimate[] | null): FlowEstimate[] | null {
  return flows?.map((flow) => ({ ...flow, unseenCourse: "least" })) ?? null;
}

/** Without a level a storm that overtakes the pump shows in a long run alone. */
function overtakenUnseen(
  { cycle, before }: EndedRun,
  after: RestSummary | null,
  { capability }: LearnedPump,
  context: TrackerContext,
): FlowEstimate | null {
  if (context.hasLevel) return null;
  const beside_m3s = Math.max(before?.last?.inflow.flow_m3s ?? 0, after?.first?.inflow.flow_m3s ?? 0);
  return inflowOverLongRun(context, cycle.run_s, capabilityAt(capability, null), beside_m3s);
}

/** A leap before the run, by which the level was still higher after it. */
function sensorsLeap({ before }: EndedRun, after: RestSummary | null): LikelyLeap | null {
  const leap = before?.leap ?? null;
  if (leap === null || before?.startVolume_m3 == null || after?.startVolume_m3 == null) return null;
  const moved_m3 = after.startVolume_m3 - before.startVolume_m3;
  return leapOrWater(leap.volume_m3, moved_m3, leap.uTrip_m3) === "leap" ? leap : null;
}

/**
 * A run too short for its readings does not show how far it drew the water down; the rest after it does, less what ran
 * back meanwhile.
 */
function drawnDown(
  ended: EndedRun,
  after: RestSummary | null,
  drainBack: DrainBack | null,
  { geometry }: TrackerContext,
): EndedRun {
  if (ended.stopVolume_m3 !== null || after?.startVolume_m3 == null) return ended;
  const stopLevel_m = geometry.level_m(after.startVolume_m3 - (drainBack?.volume_m3 ?? 0));
  return { ...ended, cycle: { ...ended.cycle, stopLevel_m } };
}

function movedBy(flows: FlowEstimate[] | null, by_m3s: number): FlowEstimate[] | null {
  return flows?.map((flow) => ({ ...flow, flow_m3s: flow.flow_m3s + by_m3s })) ?? null;
}
