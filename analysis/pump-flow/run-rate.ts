// What the pump moved in a run, once the rests on both sides are known.

import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import { agreement, type EndedRun, type RestSummary } from "../cycles/ended-run.ts";
import { meanOf, plus, withParts } from "../cycles/flow-arithmetic.ts";
import { longRun_s } from "../cycles/run-lengths.ts";
import { edgeDelay_s, farApart_s, lengthUnknown, type TrackerContext, uEdges_s } from "../cycles/tracker-context.ts";
import {
  heldOn_s,
  noPartRuns,
  type PartRuns,
  pumpingTime_s,
  rateFromActiveVolume,
  tookPart,
} from "../inflow/active-volume.ts";
import type { DrainBack } from "../inflow/drain-back/drain-back.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import { capabilitySlope_m2s } from "./capability-line.ts";
import type { CapabilityState } from "./capability-state.ts";
import { lostInSpinUp_s } from "./fit-run.ts";
import { comesByLevel, differ, inflowAtEdges, inflowOverRun, meanInflow } from "./inflow-beside-run.ts";
import { capabilityAt } from "./pump-capability.ts";

const coarse_s = 4;
/** What is pumped while the pump comes up to full speed differs by so long at its full flow; common practice, no source. */
const uSpinUp_s = 0.015;
/** A fall read off so few readings may be that of several runs. */
const fewReadings = 10;
const farApartByLevel_s = 12;

/**
 * Mean flow through the pump once it was up to speed; null where inflow changed too much to tell.
 *
 * @param parts runs before, since the basin was full, where the floats alone tell; null: it was not seen to be
 */
export function finalRate(
  ended: EndedRun,
  after: RestSummary | null,
  capability: CapabilityState,
  context: TrackerContext,
  drainBack: DrainBack | null,
  parts: PartRuns | null = noPartRuns,
): FlowEstimate | null {
  const rate = rateOfRun(ended, after, capability, context, drainBack, parts);
  return rate !== null && rate.flow_m3s > 0 ? rate : null;
}

function rateOfRun(
  ended: EndedRun,
  after: RestSummary | null,
  capability: CapabilityState,
  context: TrackerContext,
  drainBack: DrainBack | null,
  parts: PartRuns | null,
): FlowEstimate | null {
  const { cycle, before, whole, early, late, early_s } = ended;
  const closely = context.longInterval_s <= closelyRead_s;
  const byLevel = comesByLevel(before, after);
  const middle_m = closely || byLevel ? ended.meanLevel_m : null;
  const ran = byLevel ? sooner(cycle, edgeDelay_s(context)) : cycle;
  const inflow = inflowOverRun(ran, before, after, middle_m, whole === null ? 0 : -early_s);
  // What looks like one long run there may be many.
  if (context.hasLevel && context.byShare === true) return null;
  const apart_s = context.inferred ? farApartByLevel_s : farApart_s;
  if (context.hasLevel && context.interval_s >= apart_s && cycle.run_s < fewReadings * context.interval_s) return null;
  if (whole !== null && cycle.run_s > longRun_s) {
    return agreed(
      plus(early, before?.last?.inflow ?? null),
      late === null ? null : plus(late, after?.first?.inflow ?? null),
    );
  }
  if (whole !== null) {
    const rate = fromFullSpeed(
      plus(whole, inflow && changing(inflow, inflowAtEdges(cycle, before, after, closely))),
      whole,
      ended,
      capability,
      context,
    );
    const few = context.interval_s >= coarse_s && (context.inferred || closely);
    return few && isBelied(rate, ended, after, drainBack, context) ? null : rate;
  }
  // Where most runs hold readings enough, those in which too few fell are the ones that look short.
  const usuallySeen = context.typicalRun_s > 1.5 * context.interval_s;
  if (context.hasLevel && context.interval_s >= coarse_s && usuallySeen) return null;
  const moved = rateFromEnds(cycle, before, after, inflow, context, drainBack);
  if (moved !== null) return moved;
  if (
    before?.overStart ||
    (isUnfilled(after) && cycle.run_s < heldOn_s) ||
    (isUnfilled(before) && !(parts !== null && parts.runs > 0)) ||
    tookPart(context, cycle.run_s, after?.rest_s ?? null, capabilityAt(capability, null))
  )
    return null;
  return rateFromActiveVolume(context, cycle.run_s, inflow, parts ?? noPartRuns, ended.more_m3);
}

/** As it was, where either switch is seen so late. */
function sooner(cycle: Cycle, by_s: number): Cycle {
  return { ...cycle, startedAt_s: cycle.startedAt_s - by_s, stoppedAt_s: cycle.stoppedAt_s - by_s };
}

/** How much came in over a whole rest is not known: the run beside it did not go from float to float by itself either. */
function isUnfilled(rest: RestSummary | null): boolean {
  return rest !== null && rest.rest_s !== null && rest.inflow === null;
}

/** By so much of it a rate may miss what the rests on either side show to be gone. */
const belied = 0.4;

/**
 * Where few readings fell into a run, a spike among them makes its fall too slow or too quick, as one that is of a rest does
 * where the run was read off the level.
 */
function isBelied(
  rate: FlowEstimate | null,
  { cycle, before, wet_s, lateStart_s }: EndedRun,
  after: RestSummary | null,
  drainBack: DrainBack | null,
  context: TrackerContext,
): boolean {
  const moved_m3 = movedVolume_m3(cycle, before, after, drainBack);
  if (rate === null || moved_m3 === null) return false;
  // A contact's run is as long as it is read to be only to within its edges.
  const unsure_m3 = context.inferred ? 0 : rate.flow_m3s * uEdges_s(context);
  return Math.abs(rate.flow_m3s * (wet_s - (lateStart_s ?? 0)) - moved_m3) > belied * moved_m3 + unsure_m3;
}

/** What comes in changed from the rest before to the one after, and nobody knows when: anywhere between (uniform: GUM 4.3.7). */
function changing(mean: FlowEstimate, { from: a, to: b }: ReturnType<typeof inflowAtEdges>): FlowEstimate {
  if (a === null || b === null) return mean;
  const change_m3s = Math.abs(a.flow_m3s - b.flow_m3s);
  if (change_m3s < differ * Math.hypot(a.uFlow_m3s, b.uFlow_m3s)) return mean;
  return { ...mean, uFlow_m3s: Math.hypot(mean.uFlow_m3s, change_m3s / Math.sqrt(12)) };
}

/** The mean of two views of one rate, or the one that is known; null where they do not agree. */
export function agreed(a: FlowEstimate | null, b: FlowEstimate | null): FlowEstimate | null {
  if (a === null || b === null) return a ?? b;
  const difference = Math.abs(a.flow_m3s - b.flow_m3s);
  const allowed = Math.max(agreement * Math.max(a.flow_m3s, b.flow_m3s), 3 * Math.hypot(a.uFlow_m3s, b.uFlow_m3s));
  return difference <= allowed ? meanOf(a, b) : null;
}

/**
 * The samples behind the fit lie later in the run than the run at full speed does, or earlier: the level, the lift and so
 * the flow are then others. The learned slope of flow against level makes up for it.
 */
function fromFullSpeed(
  rate: FlowEstimate | null,
  fall: FlowEstimate,
  { cycle, meanLevel_m, early_s }: EndedRun,
  capability: CapabilityState,
  context: TrackerContext,
): FlowEstimate | null {
  if (rate === null || meanLevel_m === null) return rate;
  const perSecond_m3s2 = capabilitySlope_m2s(capability) * (-fall.flow_m3s / context.geometry.area_m2(meanLevel_m));
  const timing_m3s = Math.hypot((perSecond_m3s2 * uEdges_s(context)) / 2, (rate.flow_m3s * uSpinUp_s) / cycle.run_s);
  return withParts({ ...rate, flow_m3s: rate.flow_m3s + perSecond_m3s2 * early_s }, { timing: timing_m3s });
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
  const pumped_m3 = movedVolume_m3(cycle, before, after, drainBack);
  if (pumped_m3 === null || inflow === null || lengthUnknown(cycle.run_s, context)) return null;
  const moved_m3 = pumped_m3 - inflow.flow_m3s * cycle.run_s;
  const uRun_s = uEdges_s(context);
  const flow_m3s = moved_m3 / pumpingTime_s(cycle.run_s, uRun_s);
  return {
    flow_m3s: flow_m3s + inflow.flow_m3s,
    uFlow_m3s: Math.hypot((flow_m3s * uRun_s) / cycle.run_s, inflow.uFlow_m3s),
    degreesOfFreedom: Number.POSITIVE_INFINITY,
    parts: {
      ...inflow.parts,
      timing: Math.hypot((flow_m3s * uRun_s) / cycle.run_s, inflow.parts?.timing ?? 0),
    },
  };
}

/** By the balance over a short run: over a long one the inflow may have changed. */
export function movedVolume_m3(
  cycle: Cycle,
  before: RestSummary | null,
  after: RestSummary | null,
  drainBack: DrainBack | null,
  middle_m: number | null = null,
): number | null {
  return cycle.run_s > longRun_s
    ? null
    : balance_m3(cycle, before, after, drainBack, inflowOverRun(cycle, before, after, middle_m));
}

/** What was there before a run less what is there after, what ran back, and what came in meanwhile: as beside it, if not known. */
export function balance_m3(
  cycle: Cycle,
  before: RestSummary | null,
  after: RestSummary | null,
  drainBack: DrainBack | null,
  inflow = meanInflow(before, after),
): number | null {
  if (before?.endVolume_m3 == null || after?.startVolume_m3 == null || inflow === null) return null;
  return before.endVolume_m3 - after.startVolume_m3 + (drainBack?.volume_m3 ?? 0) + inflow.flow_m3s * cycle.run_s;
}

/** What the pump moved while it found water. */
export function volumeByRate_m3({ pumpRate }: Cycle, wet_s: number): number | null {
  return pumpRate === null ? null : pumpRate.flow_m3s * Math.max(wet_s - lostInSpinUp_s, wet_s / 2);
}
