// Inflow and discharge without a level: the volume between the floats, over the time that it took.

import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import type { RestSummary } from "../cycles/ended-run.ts";
import { plus } from "../cycles/flow-arithmetic.ts";
import { lengthUnknown, type TrackerContext, uEdges_s } from "../cycles/tracker-context.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { lostInSpinUp_s } from "../pump-flow/fit-run.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import type { BasinSite } from "../site.ts";

/** Trip levels of a float repeat to about so much (standard uncertainty), unless stated; common practice, no source. */
export const usualFloat_m = 0.004;

/**
 * Null where a level shows what really lay between the switches, or where the floats' levels are not known.
 *
 * @param more_m3 so much more filled it than lies between the floats
 */
export function inflowFromActiveVolume(context: TrackerContext, rest_s: number, more_m3 = 0): Cycle["inflow"] {
  const active = activeVolume(context, more_m3);
  if (active === null || !(rest_s > 0)) return null;
  return { ...volumeOver(active, rest_s, rest_s, context), method: "active-volume" };
}

/**
 * Of a rest that was not seen as a whole: anything from nothing to all that lies between the floats may have come in. What
 * came in beside it goes on as long as that leaves room for it. The longer the rest lasted beyond that, the less is known of
 * how nearly the basin filled; then it is any part of it, half on the average (uniform: GUM 4.3.7).
 *
 * @param beside inflow of the rest beside it
 */
export function partOfActive(context: TrackerContext, length_s: number, beside: FlowEstimate) {
  const active = activeVolume(context);
  if (active === null) return null;
  const brought_m3 = Math.max(0, beside.flow_m3s * length_s);
  if (brought_m3 <= active.volume_m3) return { volume_m3: brought_m3, uVolume_m3: beside.uFlow_m3s * length_s };
  const known = active.volume_m3 / brought_m3;
  const uPart_m3 = ((1 - known) * active.volume_m3) / Math.sqrt(12);
  return {
    volume_m3: ((1 + known) / 2) * active.volume_m3,
    uVolume_m3: Math.hypot(uPart_m3, (active.volume_m3 * beside.uFlow_m3s) / beside.flow_m3s),
  };
}

/**
 * @param before the runs that had drawn a part of it before that one
 * @param more_m3 so much more was drawn than lies between the floats
 */
export function rateFromActiveVolume(
  context: TrackerContext,
  run_s: number,
  inflow: FlowEstimate | null,
  before = noPartRuns,
  more_m3 = 0,
): FlowEstimate | null {
  const active = activeVolume(context, more_m3);
  // Of runs that a contact sees too seldom to tell one from the next none has a length.
  if (active === null || inflow === null || context.byShare === true) return null;
  if (!(run_s > 0) || lengthUnknown(run_s, context)) return null;
  const drawn = { ...active, volume_m3: active.volume_m3 + inflow.flow_m3s * before.paused_s };
  const ran_s = before.ran_s + run_s;
  const lost_s = before.runs * lostInSpinUp_s;
  const fall = volumeOver(drawn, pumpingTime_s(ran_s, uEdges_s(context)) - lost_s, ran_s, context);
  const rate = plus(fall, inflow);
  return rate === null ? null : { ...rate, degreesOfFreedom: Number.POSITIVE_INFINITY };
}

/**
 * What a run drew between two rests over which the basin filled from float to float: what lies between them, and what came in
 * meanwhile. However late its switches were read, that is the same, where a rate over a time would not be.
 *
 * @returns null of a run for which the floats do not vouch, and of a long one: a storm may have come to more beside it
 */
export function drawnBetweenFloats(
  context: TrackerContext,
  run_s: number,
  before: RestBeside | null,
  after: RestBeside | null,
  more_m3 = 0,
): ActiveVolume | null {
  const active = activeVolume(context, more_m3);
  if (active === null || context.byShare === true || run_s >= heldOn_s) return null;
  if (after?.inflow?.method !== "active-volume") return null;
  // A rest that was not seen to begin ends where the float closes, too.
  const fromStart = before === null || (before.rest_s === null && before.overStart !== true);
  if (!fromStart && before.inflow?.method !== "active-volume") return null;
  const inflow_m3s = (besideRuns(before?.inflow ?? after.inflow).flow_m3s + besideRuns(after.inflow).flow_m3s) / 2;
  return { ...active, volume_m3: active.volume_m3 + inflow_m3s * run_s };
}

type RestBeside = Pick<RestSummary, "inflow" | "rest_s" | "overStart">;

/** Runs since the basin was last full that have drawn a part each of what lies between the floats, and the pauses after them. */
export interface PartRuns {
  readonly runs: number;
  readonly ran_s: number;
  readonly paused_s: number;
}

export const noPartRuns: PartRuns = { runs: 0, ran_s: 0, paused_s: 0 };

/** A pump of which nothing is known yet empties no basin so soon that it is full again by then, … Judgement, no source. */
const soonest_s = 30;
/** … but in a storm, where so many cycles are each as long as the others, but for this share; a float that chatters has none. */
const fewestAlike = 5;
const alike = 0.2;

/**
 * Whether the latest cycles are each as long as the others.
 *
 * @param cycles     newest first
 * @param interval_s by which a length read off a contact may be off
 */
export function areEven(
  cycles: readonly { readonly run_s: number; readonly rest_s: number | null }[],
  interval_s: number,
): boolean {
  if (cycles.length < fewestAlike) return false;
  const latest = cycles.slice(0, fewestAlike);
  const isEven = (lengths: readonly number[]) => {
    const [least_s, most_s] = [Math.min(...lengths), Math.max(...lengths)];
    return most_s - least_s <= Math.max(alike * most_s, 1.5 * interval_s) && least_s > 2 * interval_s;
  };
  return isEven(latest.map(({ run_s }) => run_s)) && isEven(latest.map(({ rest_s }) => rest_s ?? 0));
}

/**
 * No pump moves so many times what was learned of it; and so many times as much comes in to none. In a rest that brings less than
 * such a share of it the basin may have filled, and a run that lowers the water by less was long enough. Judgement, no source.
 */
const noPump = 1.4;
const noInflow = 3;
const mayFill = 0.5;

/**
 * Whether run and rest are too short for what lies between the floats to have been drawn out and to have come in again: the
 * float chatters, or somebody moved it.
 *
 * @param rest_s after the run; null: not known
 * @param moves  what the pump moves; null: not known yet, and a quick cycle may be none
 */
export function tookPart(
  context: TrackerContext,
  run_s: number,
  rest_s: number | null,
  moves: FlowEstimate | null,
): boolean {
  const active = activeVolume(context);
  if (active === null || rest_s === null) return false;
  const drawn_m3s = active.volume_m3 / (run_s + 2 * uEdges_s(context));
  const cameIn_m3s = active.volume_m3 / (rest_s + 2 * uEdges_s(context));
  if (moves === null) return run_s + rest_s < soonest_s && context.runsEvenly !== true;
  // Whatever ran before: a float that was let go of in mid-water comes down wherever that stands.
  if (cameIn_m3s > noInflow * moves.flow_m3s) return true;
  // A pump moves what comes in and what it lowers the water by; after a rest in which the basin may have filled it has changed.
  const [least_m3s, most_m3s] = [mayFill * moves.flow_m3s, noPump * moves.flow_m3s];
  return Math.min(cameIn_m3s, drawn_m3s) > least_m3s && cameIn_m3s + drawn_m3s > most_m3s;
}

/** So many times as much at once as came in before is a storm or a float that chatters. Judgement, no source. */
const atOnce = 3;
/** What was learned of a pump may be off by so much of it beside its own scatter. Judgement, no source. */
const uLearned = 0.05;
/** Standard uncertainties of what it moves. */
const surely = 2;

/**
 * Whether far more than before would have come in in the rest after a run, and the pump moves too little to have drawn out as
 * much within that run, though either may have lasted an interval longer than it was seen to: the float opened in mid-water.
 *
 * @param before_m3s what came in before the run
 */
export function filledTooSoon(
  context: TrackerContext,
  run_s: number,
  before_m3s: number,
  rest_s: number,
  moves: FlowEstimate | null,
): boolean {
  const active = activeVolume(context);
  const longer_s = Number.isFinite(context.interval_s) ? context.interval_s : 0;
  // Closely read, when either was is known well enough, and a storm may break as the pump stops.
  if (active === null || moves === null || !(longer_s > closelyRead_s)) return false;
  const cameIn_m3s = active.volume_m3 / (rest_s + longer_s);
  const drawn_m3s = active.volume_m3 / (run_s + longer_s);
  const most_m3s = moves.flow_m3s + surely * Math.hypot(moves.uFlow_m3s, uLearned * moves.flow_m3s);
  return cameIn_m3s > atOnce * before_m3s && cameIn_m3s + drawn_m3s > most_m3s;
}

/** Shorter runs tell as much as the rests beside them. */
export const heldOn_s = 300;
/** … and no run in which little comes in takes so many times as long as the pump needs for what lies between the floats. */
const longer = 3;
/** A storm that may overtake the pump brings such a share of what it moves. Judgement, no source, as above. */
const muchInflow = 0.5;

/**
 * Whether a run went on for want of a float that opens: little came in on either side of it, or more after it than the pump
 * moves. Where the water stood when it stopped at last, nobody knows.
 *
 * @param before_m3s what came in before it
 * @param rest_s     after it
 */
export function wasHeldOn(
  context: TrackerContext,
  run_s: number,
  before_m3s: number,
  rest_s: number,
  moves: FlowEstimate | null,
): boolean {
  const active = activeVolume(context);
  if (active === null || moves === null || run_s < Math.max(heldOn_s, longer * (active.volume_m3 / moves.flow_m3s)))
    return false;
  const cameIn_m3s = active.volume_m3 / rest_s;
  // A storm that comes to more than the pump moves does not let it stop.
  if (cameIn_m3s > noPump * moves.flow_m3s) return true;
  return Math.max(before_m3s, cameIn_m3s) < muchInflow * moves.flow_m3s;
}

/**
 * Inflow over a long run in a storm: the float stayed closed, so as much came in as the pump moved, less what lay between
 * the floats; more where water went over the rim, and at times.
 *
 * @param moves what the pump moves; null: not known
 * @param beside_m3s the most that came in on either side
 * @returns null where a level shows it, or where little came in beside it: such a run goes on for want of a float that opens
 */
export function inflowOverLongRun(
  context: TrackerContext,
  run_s: number,
  moves: FlowEstimate | null,
  beside_m3s: number,
): FlowEstimate | null {
  const active = activeVolume(context);
  if (active === null || moves === null || run_s < heldOn_s || beside_m3s < muchInflow * moves.flow_m3s) return null;
  const flow_m3s = moves.flow_m3s - active.volume_m3 / run_s;
  return { ...moves, flow_m3s: Math.max(flow_m3s, 0), unseenCourse: "least" };
}

/** @param length_s between the two edges that bound the time */
function volumeOver(active: ActiveVolume, time_s: number, length_s: number, context: TrackerContext): FlowEstimate {
  const flow_m3s = active.volume_m3 / time_s;
  const floats_m3s = active.uVolume_m3 / length_s;
  const timing_m3s = (flow_m3s * uEdges_s(context)) / length_s;
  return {
    flow_m3s,
    uFlow_m3s: Math.hypot(floats_m3s, timing_m3s),
    degreesOfFreedom: Number.POSITIVE_INFINITY,
    parts: { "float-repeatability": floats_m3s, timing: timing_m3s },
  };
}

/** Length of a run at full flow; the mean of 1/time is a little more than 1/mean, by the variance of the edges. */
export function pumpingTime_s(run_s: number, uRun_s: number): number {
  return Math.max(run_s - lostInSpinUp_s, run_s / 2) + uRun_s ** 2 / run_s;
}

/** A rate by the run's length as it was seen: for a mean over the times of many, which needs nothing for that. */
export function bySeenTime(rate: FlowEstimate): FlowEstimate {
  const uTime = (rate.parts?.timing ?? 0) / rate.flow_m3s;
  return { ...rate, flow_m3s: rate.flow_m3s * (1 + uTime ** 2) };
}

/** … and the inflow of a rest by its length, of the runs beside it: over many rests it is the sum of their lengths that is right. */
export function besideRuns<Flow extends FlowEstimate>(inflow: Flow): Flow {
  const uTime = (inflow.parts?.timing ?? 0) / inflow.flow_m3s;
  return { ...inflow, flow_m3s: inflow.flow_m3s / (1 + uTime ** 2) };
}

interface ActiveVolume {
  readonly volume_m3: number;
  /** From one cycle to the next, by the float's repeatability; what is wrong with all of them alike is not in it. */
  readonly uVolume_m3: number;
}

/** As measured, else between the two float levels. */
function activeVolume({ basin, geometry, hasLevel, measurement }: TrackerContext, more_m3 = 0): ActiveVolume | null {
  if (hasLevel) return null;
  const between = tripsBetween(basin, geometry);
  if (between === null || !(between.volume_m3 + more_m3 > 0)) return null;
  const { volume_m3, low_m, high_m } = between;
  const uFloat_m = measurement?.uFloatRepeatability_m ?? usualFloat_m;
  return {
    volume_m3: volume_m3 + more_m3,
    uVolume_m3: uFloat_m * Math.hypot(geometry.area_m2(high_m), geometry.area_m2(low_m)),
  };
}

/**
 * The active volume and the levels that it lies between. A measured one needs no levels: where one is not given it follows
 * from the volume, reckoned from the other or from the bottom.
 */
function tripsBetween({ activeVolume: measured, startLevel_m, stopLevel_m }: BasinSite, geometry: BasinGeometry) {
  if (measured == null) {
    if (startLevel_m === null || stopLevel_m === null) return null;
    const volume_m3 = geometry.volume_m3(startLevel_m) - geometry.volume_m3(stopLevel_m);
    return { volume_m3, low_m: stopLevel_m, high_m: startLevel_m };
  }
  const { volume_m3 } = measured;
  const atStop_m3 = startLevel_m === null ? 0 : geometry.volume_m3(startLevel_m) - volume_m3;
  const low_m = stopLevel_m ?? geometry.level_m(atStop_m3);
  const high_m = startLevel_m ?? geometry.level_m(geometry.volume_m3(low_m) + volume_m3);
  return { volume_m3, low_m, high_m };
}
