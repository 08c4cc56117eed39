// What came in over a short run, by the rests on either side of it.

import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import type { InflowAt, RestSummary } from "../cycles/ended-run.ts";
import { between, meanOf } from "../cycles/flow-arithmetic.ts";

/** Two inflows that differ by so many standard uncertainties of that are not one. */
export const differ = 2;
/** Carried on to the edge of a rest, inflow grows or falls off by no more than this: beyond, its ends say too little. */
const mostGrowth = 3;

/** Of the rests on either side, near the run. */
export function meanInflow(before: RestSummary | null, after: RestSummary | null): FlowEstimate | null {
  return meanOf(before?.last?.inflow ?? before?.inflow ?? null, after?.first?.inflow ?? after?.inflow ?? null);
}

/**
 * Inflow as the run begins and as it ends; null where the rest on that side does not tell.
 *
 * @param closely readings are close enough to show how a rest bends
 */
export function inflowAtEdges(cycle: Cycle, before: RestSummary | null, after: RestSummary | null, closely: boolean) {
  const [last, first] = [before?.last ?? null, after?.first ?? null];
  return {
    from: last && carriedOn(last, closely ? (before?.first ?? null) : null, cycle.startedAt_s),
    to: first && carriedOn(first, closely ? (after?.last ?? null) : null, cycle.stoppedAt_s),
  };
}

/**
 * Mean inflow over the run, as it changes with the level: water of the ground comes in the faster the lower it stands, and
 * falls off while a rest fills. Read off the ends of the rests as they are, it would be that of a fuller basin.
 *
 * @param middle_m level in the middle of the run's time: much inflow lets the water linger low. Null where that is not known,
 *                 or readings are too far apart to show how a rest bends: then it is the mean of either side
 * @param late_s   how far the middle of the time that is meant lies behind that of the run
 */
export function inflowOverRun(
  cycle: Cycle,
  before: RestSummary | null,
  after: RestSummary | null,
  middle_m: number | null,
  late_s = 0,
): FlowEstimate | null {
  const { from, to } = inflowAtEdges(cycle, before, after, true);
  if (from === null || to === null || middle_m === null) return meanInflow(before, after);
  return between(from, to, Math.min(1, Math.max(0, shareOfEnd(cycle, middle_m) + late_s / cycle.run_s)));
}

/** Of rests between which no storm came or went, either end is as of the other by this share of the fall within. Judgement, no source. */
const alike = 0.25;

/**
 * The inflow falls off as the basin fills, in the rest on either side alike: then it comes in as the level lets it, and a run
 * that draws that down explains by itself that more comes in after it than before.
 */
export function comesByLevel(before: RestSummary | null, after: RestSummary | null): boolean {
  const [was, is] = [fallOf(before), fallOf(after)];
  if (was === null || is === null) return false;
  const most_m3s = alike * Math.min(was.fall_m3s, is.fall_m3s);
  return Math.abs(is.first_m3s - was.first_m3s) < most_m3s && Math.abs(is.last_m3s - was.last_m3s) < most_m3s;
}

/** Null of a rest in which the inflow does not clearly fall off, or came by turns. */
function fallOf(rest: RestSummary | null) {
  const [first, last] = [rest?.first ?? null, rest?.last ?? null];
  if (first === null || last === null || first.lasted_s !== undefined || last.lasted_s !== undefined) return null;
  const fall_m3s = first.inflow.flow_m3s - last.inflow.flow_m3s;
  if (!(fall_m3s > differ * Math.hypot(first.inflow.uFlow_m3s, last.inflow.uFlow_m3s))) return null;
  return { fall_m3s, first_m3s: first.inflow.flow_m3s, last_m3s: last.inflow.flow_m3s };
}

/** Water that the level holds back comes in by an exponential law: each equal time by the same factor. */
export function carriedOn(near: InflowAt, far: InflowAt | null, edge_s: number): FlowEstimate {
  if (far === null || near.lasted_s !== undefined || !(near.inflow.flow_m3s > 0) || !(far.inflow.flow_m3s > 0))
    return near.inflow;
  const change_m3s = Math.abs(near.inflow.flow_m3s - far.inflow.flow_m3s);
  const times = (edge_s - near.time_s) / (near.time_s - far.time_s);
  if (!(times > 0) || !(change_m3s > differ * Math.hypot(near.inflow.uFlow_m3s, far.inflow.uFlow_m3s)))
    return near.inflow;
  const growth = (near.inflow.flow_m3s / far.inflow.flow_m3s) ** Math.min(1, times);
  const flow_m3s = near.inflow.flow_m3s * Math.min(mostGrowth, Math.max(1 / mostGrowth, growth));
  return { ...near.inflow, flow_m3s };
}

/** How much of the run's mean is as at its end: by Simpson's rule, with the level in the middle of its time between its ends. */
function shareOfEnd(cycle: Cycle, middle_m: number): number {
  return (4 * loweredBy(cycle, middle_m) + 1) / 6;
}

/** Such a share of what the run drew down the water stood lowered by; a half where that is not known. */
export function loweredBy({ startLevel_m, stopLevel_m }: Cycle, level_m: number): number {
  if (startLevel_m === null || stopLevel_m === null || !(startLevel_m > stopLevel_m)) return 0.5;
  return Math.min(1, Math.max(0, (startLevel_m - level_m) / (startLevel_m - stopLevel_m)));
}
