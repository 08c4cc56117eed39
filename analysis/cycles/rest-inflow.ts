// The inflow of a rest: how well it is known, what it was towards either end, and its course as it is handed on.

import { usualClosing_m3 } from "../inflow/drain-back/drain-back.ts";
import { uDoubt_m3s } from "../inflow/over-time/doubted.ts";
import { uWhenTurns_m3 } from "../inflow/over-time/volume-corners.ts";
import type { RestFit } from "../inflow/rest/fit-rest.ts";
import { shareOfBends, uBend_m3s } from "../inflow/rest/share-of-bends.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import { medianInPlace } from "../statistics/median.ts";
import { rootOfSquares } from "../statistics/root-of-squares.ts";
import type { FlowEstimate, InflowMethod } from "./cycle.ts";
import type { InflowAt, RestSummary } from "./ended-run.ts";
import { edgeDelay_s, type TrackerContext } from "./tracker-context.ts";
import type { TrackerState } from "./tracker-state.ts";

/** Rests up to this length have one inflow, unless they bend clearly; the ends of longer ones are looked at by themselves. */
const shortRest_s = 120;
const endOfRest_s = 60;
/** By so many standard uncertainties its first and its last third differ where the ground's water comes in by the level. */
const clearlyBent = 3;
/** What pours in for less than this is a bucket, and no measure of the run beside it. */
const leastOfEnd_s = 10;
/** The course of the inflow is handed on in parts of about this length, fewer and longer ones for a long rest. */
const part_s = 15;
const mostParts = 240;
/** … of a smooth curve, and where none of its bends is believed. */
const mostOfSmooth = 60;
const mostOfSteady = 4;
/** A rest this short shows too little to go by alone when its inflow is vaguer than this share. */
export const fleeting_s = 30;
const vague = 0.25;
/** A steady rise through a sensor's steps leaves 0.29 steps of residual; a little noise more blurs them out. */
const undithered = 0.35;

export function inflowTowards(
  end: "beginning" | "end",
  fit: RestFit | undefined,
  inflow: FlowEstimate,
  from_s: number,
  to_s: number,
): InflowAt {
  const seenFrom_s = fit?.seenFrom_s ?? 0;
  const seenTo_s = fit?.seenTo_s ?? to_s - from_s;
  if (fit === undefined || (seenTo_s - seenFrom_s <= shortRest_s && fit.turns_s === undefined)) {
    const own = fit === undefined ? null : bentTowards(end, fit, from_s);
    if (own !== null) return own;
    const time_s = from_s + (seenFrom_s + seenTo_s) / 2;
    // What came all at once is over, as in a long rest.
    if (fit?.uLeapParts !== undefined) return { inflow: fit.inflowOver(seenFrom_s, seenTo_s), time_s };
    return { inflow, time_s, ...(fit && lasted(fit, seenTo_s - seenFrom_s)) };
  }
  const { first, last } = fit.turns_s ?? { first: seenTo_s, last: seenFrom_s };
  const even_s = end === "end" ? seenTo_s - last : first - seenFrom_s;
  const length_s = Math.min(Math.max(even_s, leastOfEnd_s), endOfRest_s, seenTo_s - seenFrom_s);
  const start_s = end === "end" ? seenTo_s - length_s : seenFrom_s;
  const [mean, time_s] = [fit.inflowOver(start_s, start_s + length_s), from_s + start_s + length_s / 2];
  return { inflow: mean, time_s, ...lasted(fit, even_s) };
}

/** What came in over a third of a short rest that is bent clearly; null of one that is not, or in which water came by turns. */
function bentTowards(end: "beginning" | "end", fit: RestFit, from_s: number): InflowAt | null {
  if (!isSmooth(fit)) return null;
  const { seenFrom_s, seenTo_s } = fit;
  const third_s = (seenTo_s - seenFrom_s) / 3;
  const first = fit.inflowOver(seenFrom_s, seenFrom_s + third_s);
  const last = fit.inflowOver(seenTo_s - third_s, seenTo_s);
  const change_m3s = Math.abs(last.flow_m3s - first.flow_m3s);
  if (!(change_m3s > clearlyBent * Math.hypot(first.uFlow_m3s, last.uFlow_m3s))) return null;
  return end === "end"
    ? { inflow: last, time_s: from_s + seenTo_s - third_s / 2 }
    : { inflow: first, time_s: from_s + seenFrom_s + third_s / 2 };
}

function lasted(fit: RestFit, lasted_s: number): Pick<InflowAt, "lasted_s"> | null {
  return isSmooth(fit) ? null : { lasted_s };
}

/** Without noise to blur a sensor's steps, either end of the rise may be half a step off. */
export function withResolution(fit: RestFit, { geometry, resolution_m }: TrackerContext): FlowEstimate {
  const volume_m3 = fit.endVolume_m3 ?? fit.startVolume_m3 ?? 0;
  const step_m3 = geometry.area_m2(geometry.level_m(volume_m3)) * resolution_m;
  const duration_s = fit.seenTo_s - fit.seenFrom_s;
  if (fit.byMoments || !(fit.sampleSd_m3 < undithered * step_m3) || !Number.isFinite(step_m3)) return fit.inflow;
  // The more steps the rise has crossed, the less either end says.
  const steps = Math.max(1, Math.abs(fit.inflow.flow_m3s * duration_s) / step_m3);
  return { ...fit.inflow, uFlow_m3s: Math.hypot(fit.inflow.uFlow_m3s, step_m3 / Math.sqrt(6) / steps / duration_s) };
}

/**
 * A rest begins and ends at some time within the interval before the reading that shows it: where the inflow changes, its
 * mean over the rest itself is another than over what is seen of it.
 */
export function withLateEdges<Flow extends FlowEstimate>(
  inflow: Flow,
  { inflowOver, seenFrom_s, seenTo_s }: RestFit,
  duration_s: number,
  context: TrackerContext,
): Flow {
  const delay_s = edgeDelay_s(context);
  if (delay_s === 0 || seenFrom_s > 0 || seenTo_s < duration_s || !(duration_s > 2 * delay_s)) return inflow;
  const first_m3s = inflowOver(0, delay_s).flow_m3s - inflow.flow_m3s;
  const last_m3s = inflowOver(duration_s - delay_s, duration_s).flow_m3s - inflow.flow_m3s;
  const share = delay_s / duration_s;
  // Each edge lies anywhere within the interval (uniform: GUM 4.3.7).
  const uEdges_m3s = (share * Math.hypot(first_m3s, last_m3s)) / Math.sqrt(3);
  return {
    ...inflow,
    flow_m3s: inflow.flow_m3s + share * (first_m3s - last_m3s),
    uFlow_m3s: Math.hypot(inflow.uFlow_m3s, uEdges_m3s),
  };
}

/** All or none of a leap in doubt has come in: the uncertainty of the rest's inflow holds both. */
export function withDoubtOfLeap<Flow extends FlowEstimate>(inflow: Flow, { leapParts }: RestFit): Flow {
  const [flow_m3s = 0] = leapParts?.(1) ?? [];
  const u_m3s = uDoubt_m3s({ doubt: { kind: "leapt", flow_m3s } });
  return u_m3s === 0 ? inflow : { ...inflow, uFlow_m3s: Math.hypot(inflow.uFlow_m3s, u_m3s) };
}

export function isVagueBeside(
  inflow: (FlowEstimate & { readonly method?: InflowMethod }) | null,
  known: FlowEstimate | null,
  duration_s: number,
): boolean {
  if (known === null || duration_s > shortRest_s) return false;
  // How much came in is known; when it began and ended is off by chance, which many rests average out.
  if (inflow?.method === "active-volume") return false;
  if (inflow === null) return true;
  if (duration_s > fleeting_s) return false;
  // What a closing valve lets back cannot be told apart in so short a time: anything up to that (uniform: GUM 4.3.7).
  const uReturned_m3s = usualClosing_m3 / duration_s / Math.sqrt(3);
  const u_m3s = Math.hypot(inflow.uFlow_m3s, uReturned_m3s);
  return u_m3s > vague * Math.max(Math.abs(inflow.flow_m3s), Math.abs(known.flow_m3s));
}

/**
 * Hands on the inflow of a rest as far as it was seen; a fleeting rest that shows little has the inflow known before.
 *
 * @param run_s how long the run before it lasted; 0: that is not known
 * @returns what was handed on, part by part
 */
export function passInflowOfRest(
  state: TrackerState,
  { output, longInterval_s }: TrackerContext,
  fit: RestFit | undefined,
  shown: FlowEstimate | null,
  from_s: number,
  to_s: number,
  run_s = 0,
): readonly FlowEstimate[] {
  // The data may end with the run; and a rest that was not seen to begin begins with its first level, if it has one.
  if (!(to_s > from_s)) return [];
  if (state.lastInflow !== null && isVagueBeside(shown, state.lastInflow, to_s - from_s)) {
    output.inflow(from_s, to_s, [state.lastInflow], true);
    return [];
  }
  if (fit === undefined || shown === null) {
    output.inflow(from_s, to_s, shown === null ? null : [fit === undefined ? byVolumeAlone(shown) : shown]);
    return [];
  }
  const { seenFrom_s, seenTo_s } = fit;
  if (seenFrom_s > 0) output.inflow(from_s, from_s + seenFrom_s, null);
  const last_s = fit.endVolume_m3 === null ? from_s + seenTo_s : to_s;
  const steadied = shareOfBends(fit);
  const most = !isSmooth(fit) ? mostParts : steadied > 0 ? mostOfSmooth : mostOfSteady;
  const parts = Math.min(most, Math.max(1, Math.round((seenTo_s - seenFrom_s) / part_s)));
  const mean_m3s = fit.inflow.flow_m3s;
  const uLeaps_m3s = fit.uLeapParts?.(parts);
  const course = fit.inflowParts(parts);
  const uUpTo_m3 =
    fit.turns_s !== undefined && longInterval_s <= closelyRead_s ? byLevels(fit, shown, course, steadied) : null;
  const flows = course.map((flow_m3s, i) => ({
    ...shown,
    flow_m3s: mean_m3s + steadied * (flow_m3s - mean_m3s) + state.moved_m3s,
    uBend_m3s: rootOfSquares(uBend_m3s(steadied, flow_m3s - mean_m3s), uLeaps_m3s?.[i] ?? 0),
    ...(uUpTo_m3 !== null && { uUpTo_m3: uUpTo_m3[i] as number }),
  }));
  const before = state.phaseFrom_s === null ? null : state.lastInflow;
  const doubted = withBackAlike(doubtIn(flows, fit, before), fit, to_s - from_s, run_s);
  output.inflow(from_s + seenFrom_s, last_s, doubted);
  if (last_s < to_s) output.inflow(last_s, to_s, null);
  return doubted;
}

/**
 * Where water comes by turns, how much came in up to the end of each part is as sure as the levels; when it came is less so,
 * and how much of the turns to believe is asked of all of them alike.
 */
function byLevels(
  { seenFrom_s, seenTo_s, inflow, inflowOver }: RestFit,
  { uFlow_m3s }: FlowEstimate,
  course: readonly number[],
  steadied: number,
): number[] {
  const length_s = (seenTo_s - seenFrom_s) / course.length;
  let turned_m3 = 0;
  return course.map((flow_m3s, i) => {
    const next_m3s = course[i + 1];
    if (next_m3s === undefined) return uFlow_m3s * (seenTo_s - seenFrom_s);
    const since_s = (i + 1) * length_s;
    turned_m3 += (flow_m3s - inflow.flow_m3s) * length_s;
    const ofLevels_m3 = since_s * Math.hypot(uFlow_m3s, inflowOver(seenFrom_s, seenFrom_s + since_s).uFlow_m3s);
    return Math.hypot(ofLevels_m3, uWhenTurns_m3(flow_m3s, next_m3s, length_s), uBend_m3s(steadied, turned_m3));
  });
}

/**
 * What came in, where water ran back of which only the run beside it told how much: that is off alike in all rests, and in
 * the runs, of which the rests tell what came in.
 */
export function withBackAlike(
  flows: FlowEstimate[],
  fit: RestFit | undefined,
  rest_s: number,
  run_s: number,
): FlowEstimate[] {
  const uBack_m3 = fit?.uBackAlike_m3 ?? 0;
  if (uBack_m3 === 0) return flows;
  const uAlike_m3s = (uBack_m3 / rest_s) * (1 + run_s / rest_s);
  return flows.map((flow) => ({ ...flow, uAlike_m3s }));
}

/** Nothing in it came all at once, or by turns. */
function isSmooth({ turns_s, leapParts, returnedParts }: RestFit): boolean {
  return turns_s === undefined && leapParts === undefined && returnedParts === undefined;
}

/** What the floats tell of a rest without a level is how much came in, not when. */
function byVolumeAlone(flow: FlowEstimate): FlowEstimate {
  return { ...flow, unseenCourse: "all-of-it" };
}

/** Fewer parts show no course. */
const fewestParts = 4;
/** A course that falls by less than this share of the inflow is in no doubt. */
const falls = 0.05;
/** A flap that gives way in the middle of a rest lets the riser's water down then and there. */
const surges = 0.5;

/**
 * Of a rest with a leap, the leap may be the sensor's; of one in which the inflow falls, what is more than in its last
 * quarter may have run back.
 */
function doubtIn(flows: FlowEstimate[], fit: RestFit, before: FlowEstimate | null): FlowEstimate[] {
  if (fit.leapParts !== undefined) {
    return doubtBesideLeap(flows, fit.leapParts(flows.length));
  }
  if (fit.returnedParts !== undefined) {
    const back = fit.returnedParts(flows.length);
    return flows.map((flow, i) => withDoubt(flow, "returned", back[i] ?? 0));
  }
  return flows.length < fewestParts ? doubtSinceStop(flows, before) : doubtFallInRest(flows);
}

/** Right after a stop no course shows yet: all that is more than came in before may have run back. */
function doubtSinceStop(flows: FlowEstimate[], before: FlowEstimate | null): FlowEstimate[] {
  const sure_m3s = Math.max(0, before?.flow_m3s ?? Number.POSITIVE_INFINITY);
  const mean_m3s = flows.reduce((sum, { flow_m3s }) => sum + flow_m3s, 0) / flows.length;
  if (!(mean_m3s > (1 + surges) * sure_m3s)) return flows;
  return flows.map((flow) => withDoubt(flow, "returned", flow.flow_m3s - sure_m3s));
}

/** What comes after a stop beyond what comes later may have run back, also where it looks like a storm. */
export function doubtFallInRest(flows: FlowEstimate[]): FlowEstimate[] {
  if (flows.length < fewestParts) return flows;
  const quarter = flows.slice(-Math.ceil(flows.length / 4));
  const end_m3s = Math.max(0, quarter.reduce((sum, { flow_m3s }) => sum + flow_m3s, 0) / quarter.length);
  const beginning_m3s = flows[0]?.flow_m3s ?? 0;
  const all_m3s = flows.map(({ flow_m3s }) => flow_m3s);
  const most_m3s = Math.max(...all_m3s);
  const falling = beginning_m3s > (1 + falls) * end_m3s;
  if (!falling && !(most_m3s > (1 + surges) * Math.min(...all_m3s))) return flows;
  // A valve that gives way just before the start brings its surge into the last quarter.
  const sure_m3s = Math.max(0, Math.min(end_m3s, medianInPlace(all_m3s)));
  if (!falling && !(most_m3s > (1 + surges) * sure_m3s)) return flows;
  return flows.map((flow) => withDoubt(flow, "returned", flow.flow_m3s - sure_m3s));
}

/** A valve that gives way lets the water come down at once: what looks like a leap may be a part of a surge. */
function doubtBesideLeap(flows: FlowEstimate[], leaps_m3s: readonly number[]): FlowEstimate[] {
  const others = flows.map((flow, i) => ({ ...flow, flow_m3s: flow.flow_m3s - (leaps_m3s[i] ?? 0) }));
  const beside = doubtFallInRest(others);
  return flows.map((flow, i) => {
    const beside_m3s = beside[i]?.doubt?.flow_m3s ?? 0;
    const flow_m3s = leaps_m3s[i] ?? 0;
    if (beside_m3s <= 0) return withDoubt(flow, "leapt", flow_m3s);
    return { ...flow, doubt: { kind: "leapt", flow_m3s, beside_m3s } };
  });
}

/** What towards its end a rest surely brought, of the parts that were handed on; null where none of them is in doubt. */
export function sureAtEnd_m3s(flows: readonly FlowEstimate[]): number | null {
  const last = flows[flows.length - 1];
  return last?.doubt === undefined ? null : last.flow_m3s - last.doubt.flow_m3s - (last.doubt.beside_m3s ?? 0);
}

/** What may have run back counts in the inflow of the run beside it, too: that lies between the rests on either side. */
export function doubtInRun(flows: FlowEstimate[] | null, before: RestSummary | null, after: RestSummary | null) {
  const ends = [before, after].map((rest) => rest?.sure_m3s ?? rest?.last?.inflow.flow_m3s ?? Number.NaN);
  const most_m3s = Math.max(...ends, 0);
  if (
    flows === null ||
    !(flows.reduce((sum, { flow_m3s }) => sum + flow_m3s, 0) > (1 + falls) * flows.length * most_m3s)
  )
    return flows;
  return flows.map((flow) => withDoubt(flow, "returned", flow.flow_m3s - most_m3s));
}

function withDoubt(flow: FlowEstimate, kind: "returned" | "leapt", flow_m3s: number): FlowEstimate {
  return flow_m3s > 0 ? { ...flow, doubt: { kind, flow_m3s } } : flow;
}
