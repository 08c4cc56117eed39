// Inflow while the pump runs: between the rests on either side, or, in a long run, what the pump is known to move less
// the fall of the volume.

import type { FlowEstimate } from "../cycles/cycle.ts";
import type { EndedRun, RestSummary } from "../cycles/ended-run.ts";
import { minus, plus } from "../cycles/flow-arithmetic.ts";
import { longRun_s } from "../cycles/run-lengths.ts";
import type { CapabilityState } from "./capability-state.ts";
import { carriedThrough } from "./carried-through-run.ts";
import { lostInSpinUp_s, spinUp_s } from "./fit-run.ts";
import { comesByLevel, meanInflow } from "./inflow-beside-run.ts";
import { capabilityAt } from "./pump-capability.ts";
import { roseAsAtRest, stoodStill } from "./stood-still.ts";

/** A pump that moves less than this share of what it should is not the measure of what comes in. */
const impaired = 0.75;
/** Nor is one whose own runs leave so much of it open: it has lately come to move less, as the run at hand does. */
const vague = 0.15;
/** So long what came in on one side of a run stands for the run. */
const holds_s = 600;

/**
 * Inflow over equal parts of the run; null where it cannot be known.
 *
 * @param closelyRead readings are close enough for the rest before to have shown a storm that broke in its last moments
 */
export function inflowDuringRun(
  capability: CapabilityState,
  ended: EndedRun,
  after: RestSummary | null,
  closelyRead: boolean,
  late_s = 0,
): FlowEstimate[] | null {
  const { cycle, before } = ended;
  const impaired = isImpaired(capability, ended, after, closelyRead);
  if (cycle.run_s > longRun_s && ended.parts.length > 0 && !impaired) {
    const parts = ended.parts.map(({ fall, level_m }) => minus(capabilityAt(capability, level_m), fall));
    const known = parts.filter((part) => part !== null);
    if (known.length === parts.length && (closelyRead || !isUnheard(known, ended, after))) return known;
  }
  const [from, to] = [before?.last ?? null, after?.first ?? null];
  const carried = carriedThrough(ended, after, late_s);
  if (from === null || to === null || carried === null) {
    const one = from ?? to;
    return one === null || cycle.run_s > holds_s ? null : [one.inflow];
  }
  const balance =
    closelyRead && !impaired && !comesByLevel(before, after) ? byFall(capability, ended, from.inflow, to.inflow) : null;
  if (balance !== null) return [balance];
  const parts = Math.min(60, Math.max(1, Math.round(cycle.run_s / 10)));
  const time_s = (i: number) => cycle.startedAt_s + (cycle.run_s * i) / parts;
  // For longer neither side stands for the run: what came in may have gone from one to the other at any time (GUM 4.3.7).
  const uBetween_m3s = cycle.run_s > holds_s ? Math.abs(from.inflow.flow_m3s - to.inflow.flow_m3s) / Math.sqrt(12) : 0;
  const flows = Array.from({ length: parts }, (_, i) => {
    const flow = carried.over(time_s(i), time_s(i + 1));
    return { ...flow, uFlow_m3s: Math.hypot(flow.uFlow_m3s, uBetween_m3s) };
  });
  return hidesStorm(capability, ended, after, carried.mostCalm_m3s)
    ? flows.map((flow) => ({ ...flow, unseenCourse: "least" }))
    : flows;
}

/**
 * In a storm its highest may come while a pump runs dry for long, or moves who knows what: the rests do not show it. Nor
 * do they where it broke just before the start and was over by the stop.
 */
function hidesStorm(
  capability: CapabilityState,
  ended: EndedRun,
  after: RestSummary | null,
  beside_m3s: number,
): boolean {
  const usual = capabilityAt(capability, ended.meanLevel_m);
  if (ended.cycle.run_s <= holds_s || usual === null) return false;
  if (beside_m3s > littleBeside * usual.flow_m3s) return true;
  return breaks(ended.before, usual.flow_m3s) && !heldToItsEnd(ended, after, usual.flow_m3s);
}

/** Standard uncertainties by which the one may lie beyond the others, and by which those must be apart. */
const clearly = 2;

/**
 * By what the pump usually moves less the fall of a short run, where that tells more than the rests on either side, of which
 * one may have ended with a bucket: any inflow between theirs may be the run's (uniform: GUM 4.3.7). Null where it does
 * not, and where it lies beyond them: then the pump did not move what it usually does, unless water had just begun to pour in,
 * of which the end of the rest shows a part.
 */
function byFall(
  capability: CapabilityState,
  ended: EndedRun,
  { flow_m3s: from_m3s }: FlowEstimate,
  { flow_m3s: to_m3s }: FlowEstimate,
): FlowEstimate | null {
  const { cycle, before, whole, meanLevel_m } = ended;
  const usual = cycle.run_s > longRun_s ? null : capabilityAt(capability, meanLevel_m);
  const flow = minus(usual, whole);
  if (flow === null || usual === null) return null;
  const uBetween_m3s = Math.abs(from_m3s - to_m3s) / Math.sqrt(12);
  const slack_m3s = clearly * flow.uFlow_m3s;
  const most_m3s = Math.max(from_m3s, to_m3s);
  const beyond_m3s = flow.flow_m3s - most_m3s;
  if (beyond_m3s > slack_m3s) {
    if (!beganToPour(before, cycle.startedAt_s) || flow.flow_m3s > usual.flow_m3s) return null;
    return { ...flow, uFlow_m3s: Math.hypot(flow.uFlow_m3s, beyond_m3s / Math.sqrt(3)) };
  }
  if (!(uBetween_m3s > slack_m3s && flow.flow_m3s > Math.min(from_m3s, to_m3s) - slack_m3s)) return null;
  // In the seconds in which the pump came up to speed it was what kept the volume from falling; or anything between.
  const coming = Math.min(1, spinUp_s / cycle.run_s);
  const fell_m3s = fellAtFirst_m3s(ended);
  const moved_m3s = (usual.flow_m3s * (spinUp_s - lostInSpinUp_s)) / spinUp_s;
  const atFirst_m3s =
    fell_m3s === null ? (from_m3s + to_m3s) / 2 : Math.max(Math.min(from_m3s, to_m3s), moved_m3s - fell_m3s);
  const flow_m3s = (1 - coming) * flow.flow_m3s + coming * atFirst_m3s;
  return { ...flow, flow_m3s, uFlow_m3s: Math.hypot(flow.uFlow_m3s, uBetween_m3s * coming) };
}

/** By then a sound pump moves water. Judgement, no source. */
const mostlyUp_s = 2;

/** How fast the volume fell while the pump came up to speed; null where that does not show. */
function fellAtFirst_m3s({ cycle, before, whole, stopVolume_m3, lateStart_s }: EndedRun): number | null {
  if (before?.endVolume_m3 == null || whole === null || stopVolume_m3 === null) return null;
  // What one that comes up late did not move meanwhile is no inflow.
  if (cycle.run_s < 2 * spinUp_s || (lateStart_s ?? 0) > mostlyUp_s) return null;
  return (before.endVolume_m3 - stopVolume_m3 - whole.flow_m3s * (cycle.run_s - spinUp_s)) / spinUp_s;
}

/** So many times what came in before: little more may be a turn of the noise. Judgement, no source. */
const poursIn = 2;
/** The middle of an end that shows so little of it: one that was watched for longer has shown how fast it came. */
const justBegun_s = 7.5;

/** Whether the end of the rest, seen by itself, had more than the noise of its few readings makes of what came before. */
function beganToPour(before: RestSummary | null, startedAt_s: number): boolean {
  const [first, last] = [before?.first ?? null, before?.last ?? null];
  if (first === null || last === null || !(startedAt_s - last.time_s < justBegun_s)) return false;
  const more_m3s = last.inflow.flow_m3s - first.inflow.flow_m3s;
  return last.inflow.flow_m3s > poursIn * first.inflow.flow_m3s && more_m3s > last.inflow.uFlow_m3s;
}

/** Of readings far apart so short a run shows only a few, of which one wrong level makes a run that did not last. */
const fewReadings_s = 300;
const unheardOf = 4;

/** So much more than on either side came in during a short run, by the pump's rate, that the pump did not run all the time. */
function isUnheard(during: readonly FlowEstimate[], { cycle, before }: EndedRun, after: RestSummary | null): boolean {
  const [from, to] = [before?.last?.inflow.flow_m3s, after?.first?.inflow.flow_m3s];
  if (cycle.run_s > fewReadings_s || from === undefined || to === undefined) return false;
  return during.reduce((sum, { flow_m3s }) => sum + flow_m3s, 0) > unheardOf * during.length * Math.max(from, to, 0);
}

/** What comes in just before a run is a storm that breaks: such a share of what the pump moves, and so many times as before. */
const breaking = 0.2;
const risen = 2;
/** A pump that moves this share of what it should in the last minute of the run is sound: more came in while the storm passed. */
const sound = 0.7;

/** Whether the pump moves so much less than it did that it is not the measure of what comes in. */
export function isImpaired(
  capability: CapabilityState,
  ended: EndedRun,
  after: RestSummary | null,
  closelyRead: boolean,
): boolean {
  const impaired = closelyRead
    ? beginsImpaired(capability, ended, after)
    : isImpairedThroughout(capability, ended, after) || beganStill(capability, ended);
  const changed =
    tellsLess(capability, ended, after) || (ended.cycle.run_s > longRun_s && movesMore(capability, ended));
  return impaired || changed || isFreed(capability, ended, after);
}

/** Such a share of what the pump moves its own runs leave open that have lately changed. Judgement, no source. */
const unsure = 0.05;
/** Of that, what a run of minutes does not change much, beside how little is known of the pump. */
const someBeside = 0.5;

/** Whether the rests on either side tell more of what comes in than a pump whose runs do not agree. */
function tellsLess(capability: CapabilityState, ended: EndedRun, after: RestSummary | null): boolean {
  if (ended.early === null && ended.late === null) return false;
  const { before, meanLevel_m, cycle } = ended;
  const [from, to] = [before?.last?.inflow ?? null, after?.first?.inflow ?? null];
  const usual = capabilityAt(capability, meanLevel_m);
  if (from === null || to === null || usual === null || !(usual.uFlow_m3s > unsure * usual.flow_m3s)) return false;
  const most = cycle.run_s <= holds_s ? someBeside : littleBeside;
  return Math.max(from.flow_m3s, to.flow_m3s) <= most * usual.flow_m3s;
}

/** So many times what it usually moves is more than the level makes of that. Judgement, no source. */
const freed = 1.1;

/** Less than nothing would come in: the pump moves more than it did, freed or mended. */
function movesMore(capability: CapabilityState, { early, late, meanLevel_m }: EndedRun): boolean {
  const usual = capabilityAt(capability, meanLevel_m);
  if (usual === null || early === null || late === null) return false;
  return [early, late].every(
    (fall) => fall.flow_m3s > freed * usual.flow_m3s && isClear(fall.flow_m3s - usual.flow_m3s, fall, usual),
  );
}

/** Whether the pump moved nothing at all until it was freed while it ran, if it was. */
export function isFreed(capability: CapabilityState, ended: EndedRun, after: RestSummary | null): boolean {
  const { course, meanLevel_m, before, cycle } = ended;
  const usual = capabilityAt(capability, meanLevel_m);
  const inflow = carriedThrough(ended, after)?.over(cycle.startedAt_s, cycle.stoppedAt_s) ?? meanInflow(before, after);
  if (course === null || usual === null || inflow === null || cycle.run_s <= longRun_s) return false;
  return stoodStill(course, cycle.run_s, inflow.flow_m3s, usual.flow_m3s);
}

/**
 * The run's own beginning, with the inflow of just before, against what the pump moved until then. Water that rises
 * faster than it came in before, or comes in fast while it is low, is a storm instead; so is a storm that breaks just before the
 * run, where the run's end shows a sound pump.
 */
function beginsImpaired(capability: CapabilityState, ended: EndedRun, after: RestSummary | null): boolean {
  const { before, meanLevel_m } = ended;
  const usual = capabilityAt(capability, meanLevel_m);
  if (usual === null) return false;
  const { atFirst, early, beside } = asItBegan(ended, after, usual.flow_m3s);
  const rate = plus(early, beside);
  if (rate === null) return false;
  // Just after a stop the water is low, and that of the ground comes in fastest: as fast as it may when the run has drawn it down.
  const low_m3s = Math.max(before?.first?.inflow.flow_m3s ?? 0, after?.first?.inflow.flow_m3s ?? 0);
  const stormy = rate.flow_m3s < -0.03 * usual.flow_m3s || low_m3s > 0.5 * usual.flow_m3s;
  const first = plus(atFirst, beside) ?? rate;
  // The few readings of the first seconds are to be clearly as of a sound pump to say that it was one.
  const mostShort = { ...first, flow_m3s: first.flow_m3s - 2 * first.uFlow_m3s };
  if (stormy || !(fallsShort(rate, usual) && fallsShort(mostShort, usual))) return false;
  if (!isLess(rate, usual) && !isLess(first, usual)) return false;
  const missing_m3s = usual.flow_m3s - rate.flow_m3s;
  return !(breaks(before, usual.flow_m3s) && grows(ended, missing_m3s) && soundAtEnd(ended, after, usual.flow_m3s));
}

/** Little came in on either side of a storm, of which readings far apart need not show how it began. */
const littleBeside = 0.2;

/**
 * By readings far apart: a storm that breaks with the run's first minute and ends with its last, and leaves no trace in the
 * rests, is none, but a pump that moves far less from its first minute to its last. In a run of minutes the water is to fall
 * all the same: where it does not, a few wrong levels may be all that there is.
 */
function isImpairedThroughout(capability: CapabilityState, ended: EndedRun, after: RestSummary | null): boolean {
  const { early, late, before, meanLevel_m, cycle } = ended;
  const [from, to] = [before?.last?.inflow ?? null, after?.first?.inflow ?? null];
  const usual = capabilityAt(capability, meanLevel_m);
  if (cycle.run_s <= longRun_s || from === null || to === null || usual === null) return false;
  if (Math.max(from.flow_m3s, to.flow_m3s) > littleBeside * usual.flow_m3s) return false;
  if (cycle.run_s <= holds_s && ![early, late].every((fall) => fall !== null && fall.flow_m3s > 0)) return false;
  const [first, last] = [plus(early, from), plus(late, to)];
  if (first === null || last === null || !isLess(first, usual)) return false;
  return isLess(last, usual);
}

/** By readings far apart: while next to nothing came in, and it shows over minutes that the pump moves nothing. */
function beganStill(capability: CapabilityState, { course, before, meanLevel_m }: EndedRun): boolean {
  const from_m3s = before?.last?.inflow.flow_m3s ?? Number.NaN;
  const usual = capabilityAt(capability, meanLevel_m);
  if (course === null || usual === null || !(from_m3s < littleBeside * usual.flow_m3s)) return false;
  return roseAsAtRest(course, from_m3s, before?.sampleSd_m3 ?? 0);
}

function fallsShort(rate: FlowEstimate, usual: FlowEstimate): boolean {
  return rate.flow_m3s < impaired * usual.flow_m3s;
}

function isLess(rate: FlowEstimate, usual: FlowEstimate): boolean {
  if (!fallsShort(rate, usual)) return false;
  return isClear(usual.flow_m3s - rate.flow_m3s, rate, usual) || usual.uFlow_m3s > vague * usual.flow_m3s;
}

/** Standard uncertainties of both. */
const standsApart = 4;

function isClear(difference_m3s: number, a: FlowEstimate, b: FlowEstimate): boolean {
  return difference_m3s > standsApart * Math.hypot(a.uFlow_m3s, b.uFlow_m3s);
}

function breaks(before: RestSummary | null, usual_m3s: number): boolean {
  const last_m3s = before?.last?.inflow.flow_m3s ?? 0;
  return last_m3s > breaking * usual_m3s && last_m3s > risen * (before?.first?.inflow.flow_m3s ?? 0);
}

/** How the volume fell in the first seconds and in the first minute of a run, and what came in meanwhile. */
interface AsItBegan {
  readonly atFirst: FlowEstimate | null;
  readonly early: FlowEstimate | null;
  readonly beside: FlowEstimate | null;
}

/**
 * What poured in just before the start goes on at first: where the water falls the faster soon after, it ended then, and the fall
 * of the minute is as it would be had it not. Where the water never falls as a sound pump lets it, to the last seconds of the
 * run, it was over by the start: it would have to end with the run to the second.
 */
function asItBegan(ended: EndedRun, after: RestSummary | null, usual_m3s: number): AsItBegan {
  const { atFirst = null, before, early } = ended;
  const last = before?.last ?? null;
  const calm = carriedThrough(ended, after)?.calmBefore ?? null;
  const beside = last?.inflow ?? (flickered(ended) ? (after?.first?.inflow ?? null) : null);
  const asSeen = { atFirst: atFirst?.fall ?? null, early, beside };
  if (atFirst === null || last === null || calm === null) return asSeen;
  const poured_m3s = last.inflow.flow_m3s - calm.flow_m3s;
  if (!(poured_m3s > 0)) return asSeen;
  const { fall, slows_m3s } = atFirst;
  if (-slows_m3s > comesUp * poured_m3s)
    return { ...asSeen, early: { ...fall, flow_m3s: fall.flow_m3s - slows_m3s - poured_m3s } };
  return heldToItsEnd(ended, after, usual_m3s) ? { ...asSeen, beside: calm } : asSeen;
}

/** No inflow that a pump is chosen for fills a basin so soon. Judgement, no source. */
const flicker_s = 10;

/** A float that chattered as the run began may have done so for longer than readings some seconds apart show. */
function flickered({ cycle }: EndedRun): boolean {
  return cycle.rest_s !== null && cycle.rest_s <= flicker_s;
}

function heldToItsEnd({ atLast = null }: EndedRun, after: RestSummary | null, usual_m3s: number): boolean {
  const rate = plus(atLast, after?.first?.inflow ?? null);
  return rate !== null && rate.flow_m3s + 2 * rate.uFlow_m3s < impaired * usual_m3s;
}

/** Of what the pump seems to lack, so much must come up within the first minute: it had no time to do so before. */
const comesUp = 0.25;

/** A storm that breaks grows on; of a pump that is held back as much is missing from its start on. */
function grows({ atFirst }: EndedRun, missing_m3s: number): boolean {
  return atFirst == null || atFirst.slows_m3s > comesUp * missing_m3s;
}

/** In the last minute or, where the water stood at the rim for a part of that, in the last part of the run. */
function soundAtEnd({ late, parts, cycle }: EndedRun, after: RestSummary | null, usual_m3s: number): boolean {
  if (cycle.run_s <= longRun_s) return false;
  const falls = [late, parts.at(-1)?.fall ?? null];
  return falls.some((fall) => (plus(fall, after?.first?.inflow ?? null)?.flow_m3s ?? 0) > sound * usual_m3s);
}
