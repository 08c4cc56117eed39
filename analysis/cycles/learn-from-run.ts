// What a settled run teaches of its pumps: what they move, how that changes with the level, and what they used to move.

import { bySeenTime } from "../inflow/active-volume.ts";
import { mostFromPipe_m3 } from "../inflow/drain-back/drain-back.ts";
import { leakByGain, newLeakByGain } from "../inflow/drain-back/leak-by-gain.ts";
import { adopt, disown } from "../inflow/drain-back/remembered-leak.ts";
import { capabilitySlope_m2s } from "../pump-flow/capability-line.ts";
import { lostInSpinUp_s } from "../pump-flow/fit-run.ts";
import { inflowAtEdges } from "../pump-flow/inflow-beside-run.ts";
import { isFreed } from "../pump-flow/inflow-during-run.ts";
import {
  forgetLatest,
  learnAnew,
  learnPooled,
  learnRun,
  learnSlope,
  leaveOutOfPool,
} from "../pump-flow/learn-capability.ts";
import { newLongerRuns, noteLonger } from "../pump-flow/longer-runs.ts";
import { capabilityAt } from "../pump-flow/pump-capability.ts";
import { usualRate } from "../pump-flow/pump-change.ts";
import { fewestUsual, noteRate, noteStart, precise, type RunSeen } from "../pump-flow/pump-history.ts";
import { newReadAlike, noteReadAlike } from "../pump-flow/read-alike.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import type { Cycle, FlowEstimate } from "./cycle.ts";
import type { EndedRun, RestSummary } from "./ended-run.ts";
import { fewestInRest, readingStandsFor_s, timeByReadings_s } from "./time-by-readings.ts";
import { byLevelAlone, type TrackerContext } from "./tracker-context.ts";
import type { LearnedPump, TrackerState } from "./tracker-state.ts";

/** Shorter runs are spin-up for the most part: their rate says little of the pump. */
const shortestTelling_s = 8;
/** In longer ones the inflow may come and go unseen, unless it is alike on either side; and in these whatever the sides say. */
const longestUnasked_s = 600;
const longestTelling_s = 3600;
const farLess = 0.5;
export const mostOfRate = 0.6;
const little = 0.3;
/** Rates known worse than this are no measure of the pump, however many. */
const usable = 0.35;
/** Readings so far apart that the length of a run is anyone's guess, but not that of many. */
const seldom_s = 4;
const readingsInRest = 5;
const tooFew = 3;
/** Of runs that the level alone shows: else much comes in, or a float chatters, and falls are parts of runs. */
const mostlyAtRest = 3;
const evenly = 0.06;
/** Intervals by which a signal is seen to run longer than the level shows, at the most, of a pump that lifts water all the time. */
const ranOn = 3;

/** In the rests beside the run, where either tells. */
function cameIn_m3s(before: RestSummary | null, after: RestSummary | null): number {
  return Math.max(before?.inflow?.flow_m3s ?? 0, after?.inflow?.flow_m3s ?? 0);
}

/** What a run of known rate says of the pumps that ran. */
export function learnPump(
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
  if (short) return;
  const { from, to } = inflowAtEdges(cycle, before, after, context.longInterval_s <= closelyRead_s);
  const changed_m3s = (to?.flow_m3s ?? Number.NaN) - (from?.flow_m3s ?? Number.NaN);
  // By the level alone, read seldom, what looks like one long run may be many.
  const isOne = !context.inferred || context.longInterval_s <= closelyRead_s;
  const alike = isOne && cycle.run_s <= longestTelling_s && unsureByChange(changed_m3s, pumpRate) <= precise;
  if (cycle.run_s > longestUnasked_s && !alike) {
    if (isLongForLittle(ended, after, pumpRate, learned.history)) noteRate(learned.history, pumpRate);
    return;
  }
  // In runs read off the level much inflow makes the turns of the level vague: the fall must be most of the rate. Without a
  // level nothing shows what comes in meanwhile: it must be the lesser part of what the pump usually moves.
  const certain = context.hasLevel
    ? !context.inferred || (whole !== null && whole.flow_m3s > mostOfRate * pumpRate.flow_m3s)
    : !(cameIn_m3s(before, after) > (1 - mostOfRate) * usualRate(learned.history).flow_m3s);
  if (certain && !isLostInChange(changed_m3s, pumpRate, learned.history))
    noteRate(learned.history, pumpRate, seenOf(learned, context, ended, pumpRate));
  else if (certain) learnStart(learned, context, ended);
  // Where readings are far apart, what fell by no more than chance was no run.
  const isRun = certain || context.longInterval_s <= closelyRead_s;
  // Held back until it was freed, a run says nothing of what the pump moves.
  const freed = isFreed(learned.capability, ended, after);
  // Where its length alone tells, that of the usual run says how well: to leave out those that look short would make the mean wrong.
  const asUsual = context.hasLevel ? 1 : cycle.run_s / context.typicalRun_s;
  const tells = isRun && asUsual * pumpRate.uFlow_m3s < usable * pumpRate.flow_m3s && !freed;
  const rate = context.hasLevel ? pumpRate : bySeenTime(pumpRate);
  if (tells) learnRun(learned.capability, rate, ended.meanLevel_m ?? Number.NaN, 2 * (halves?.levelDrop_m ?? 0));
  if (!freed && halves !== null && Number.isFinite(changed_m3s) && !context.inferred) {
    // What comes in may change meanwhile: evenly, as far as is known, and by half of that unevenly.
    const change_m3s = (changed_m3s * halves.apart_s) / cycle.run_s;
    const uDrop_m3s = Math.hypot(halves.uFlowDrop_m3s, change_m3s / 2);
    learnSlope(learned.capability, halves.levelDrop_m, halves.flowDrop_m3s - change_m3s, uDrop_m3s);
  }
}

/** Share of the rate by which it is unsure where what comes in changes so much over the run. */
function unsureByChange(changed_m3s: number, rate: FlowEstimate): number {
  return Math.abs(changed_m3s) / Math.sqrt(12) / rate.flow_m3s;
}

/** A rate so many of its standard uncertainties off is another, however much what comes in changed. */
const surely = 3;

/**
 * What comes in changes so much over the run that its rate is no better known than that. In water that goes with the level it
 * does so alike in all runs, so that no mean of many makes it good: it tells of a loss that is wider still, and of its end.
 */
function isLostInChange(changed_m3s: number, rate: FlowEstimate, history: LearnedPump["history"]): boolean {
  if (!(unsureByChange(changed_m3s, rate) > precise)) return false;
  const lost_m3s = usualRate(history).flow_m3s - rate.flow_m3s;
  const recovered_m3s = rate.flow_m3s - (history.latest_m3s.at(-1) ?? Number.NaN);
  return !(Math.max(lost_m3s, recovered_m3s) > surely * rate.uFlow_m3s);
}

/** It is long because the pump moves far less than it did: little came in before and after it. */
function isLongForLittle(
  { before }: EndedRun,
  after: RestSummary | null,
  pumpRate: FlowEstimate,
  history: LearnedPump["history"],
): boolean {
  if (history.usual_m3s.length < fewestUsual) return false;
  const usual_m3s = usualRate(history).flow_m3s;
  const inflows_m3s = [before?.last?.inflow.flow_m3s, after?.first?.inflow.flow_m3s];
  const isLittle = inflows_m3s.every((inflow_m3s) => inflow_m3s !== undefined && inflow_m3s < little * usual_m3s);
  return isLittle && pumpRate.flow_m3s < farLess * usual_m3s;
}

/** Much inflow may make a run fall late: only after little does that say something of the pump. */
function seenOf(
  { capability }: LearnedPump,
  context: TrackerContext,
  ended: EndedRun,
  pumpRate: FlowEstimate,
): RunSeen {
  return {
    level_m: ended.meanLevel_m,
    slope_m2s: capabilitySlope_m2s(capability),
    lateStart_s: lateStartOf_s(context, ended, pumpRate),
    run_s: ended.cycle.run_s,
  };
}

function lateStartOf_s(context: TrackerContext, { before, lateStart_s }: EndedRun, moves: FlowEstimate) {
  const inflow_m3s = before?.last?.inflow.flow_m3s ?? Number.POSITIVE_INFINITY;
  const shows = !context.inferred && context.longInterval_s <= closelyRead_s && inflow_m3s < little * moves.flow_m3s;
  return shows ? lateStart_s : null;
}

/**
 * What the run moved, and the rest after it, as far as both together show a leak of which either shows too little. What the
 * pump seemed to move more meanwhile is forgotten.
 */
export function learnLeak(
  { memory, pumps }: TrackerState,
  { capability }: LearnedPump,
  context: TrackerContext,
  { cycle, meanLevel_m }: EndedRun,
  after: RestSummary | null,
  pumpRate: FlowEstimate,
): void {
  const { gain, leak } = memory.slow;
  const shows = context.hasLevel && !context.inferred && context.longInterval_s <= closelyRead_s;
  if (!shows || pumps.origin !== null || after?.inflow == null || after.rest_s === null || meanLevel_m === null) return;
  const usual = capabilityAt(capability, null)?.flow_m3s ?? Number.NaN;
  const here = capabilityAt(capability, meanLevel_m)?.flow_m3s ?? Number.NaN;
  const rate_m3s = pumpRate.flow_m3s - (Number.isFinite(usual) ? here - usual : 0);
  const { inflow, rest_s } = after;
  const now = {
    rate_m3s,
    uRate_m3s: pumpRate.uFlow_m3s,
    inflow_m3s: inflow.flow_m3s,
    uInflow_m3s: inflow.uFlow_m3s,
    rest_s,
    stoppedAt_s: cycle.stoppedAt_s,
  };
  const most_m3 = mostFromPipe_m3(context.pipeHolds_m3, pumpRate.flow_m3s * cycle.run_s);
  const known = leak.byGain === true ? leak.known : null;
  // One that shows by itself is known better; and once it is forgotten, the pump seems to move more than while it was taken out.
  if (leak.known !== null && known === null) {
    Object.assign(gain, newLeakByGain());
    return;
  }
  const found = leakByGain(gain, now, known, most_m3);
  if (found === null && known !== null) disown(leak);
  if (found !== null) adopt(leak, found);
  if (found === null || known !== null) return;
  forgetLatest(capability, gain.gaining?.runs ?? 0);
}

/** A run that moved little for so long that its rate is not known still tells how it began. */
export function learnStart({ history }: LearnedPump, context: TrackerContext, ended: EndedRun): void {
  if (history.usual_m3s.length >= fewestUsual)
    noteStart(history, lateStartOf_s(context, ended, usualRate(history)), ended.cycle.run_s);
}

/**
 * What came in while a run and the rest after it lasted, and what ran back, is what the pump lifts in the long run.
 *
 * @param ended the run as it was when it stopped
 */
export function learnTogether(
  { capability, history }: LearnedPump,
  context: TrackerContext,
  cycle: Cycle,
  after: RestSummary | null,
  ended: Pick<EndedRun, "wet_s" | "before" | "course" | "farApart">,
): void {
  const { run_s, drainBack_m3 } = cycle;
  const ranTo_s = context.signalRun_s ?? Number.NaN;
  const signalled_s = ranTo_s - capability.pooledUpTo_s;
  capability.pooledUpTo_s = after?.rest_s == null ? Number.NaN : ranTo_s;
  const { interval_s } = context;
  const levelAlone = byLevelAlone(context);
  // Read closely again, each run tells of itself: what many had to tell together is past.
  if (interval_s < seldom_s) {
    Object.assign(history.longer, newLongerRuns());
    if (history.readAlike !== undefined) Object.assign(history.readAlike, newReadAlike());
  }
  if (context.byShare || !(interval_s >= seldom_s && interval_s < Number.POSITIVE_INFINITY)) return;
  // Read off the level the longer runs alone have a rate of their own: without them the others would look too short.
  if (cycle.pumpRate !== null && !levelAlone) return;
  if (after?.rest_s == null || after.inflow === null) return;
  // In much inflow rests are short of readings whatever the run: that makes none of them odd.
  if (after.rest_s < (levelAlone ? fewestInRest : tooFew) * interval_s) return;
  if (levelAlone && after.rest_s < mostlyAtRest * run_s) return;
  const ran_s = levelAlone ? timeByReadings_s(ended, after, cycle, interval_s) : signalled_s - lostInSpinUp_s;
  // The float held it on when the water was gone, or it ran for nothing: that time lifted nothing.
  if (!(ran_s >= -lostInSpinUp_s) || (levelAlone ? run_s : signalled_s) > ended.wet_s + ranOn * interval_s) return;
  if (!isOneRest(after, context)) {
    leaveOutOfPool(capability);
    return;
  }
  const lifted_m3 = after.inflow.flow_m3s * (run_s + after.rest_s) + (drainBack_m3 ?? 0);
  const reading_s = levelAlone ? readingStandsFor_s(interval_s) : interval_s;
  // Runs that happened to be read at the same point say less of the pump, and of whether they have become longer.
  history.readAlike ??= newReadAlike();
  const uRan_s = (noteReadAlike(history.readAlike, Math.round(ran_s / reading_s)) * reading_s) / 2;
  learnPooled(capability, lifted_m3, ran_s, uRan_s);
  const moves = noteLonger(history.longer, lifted_m3, ran_s, uRan_s);
  if (moves !== null) learnAnew(capability, moves);
}

/** Where readings are few a run may go unseen: then the rest does not rise evenly, or has too few of them to tell. */
function isOneRest({ sampleSd_m3, rest_s }: RestSummary, { basin, geometry, interval_s }: TrackerContext): boolean {
  const { startLevel_m, stopLevel_m } = basin;
  if (startLevel_m === null || stopLevel_m === null || sampleSd_m3 == null || rest_s === null) return false;
  const active_m3 = geometry.volume_m3(startLevel_m) - geometry.volume_m3(stopLevel_m);
  return rest_s > readingsInRest * interval_s && sampleSd_m3 < evenly * active_m3;
}
