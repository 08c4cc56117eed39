// What a pump moves against the water level, as a table of duty points, and how that is bent to what it was measured to
// move. Where a curve ends before the two meet, the answer says so and errs to the careful side.

import { meetDischarge } from "../hydraulics/duty-point.ts";
import { pumpCurve } from "../hydraulics/pump-curve.ts";
import type { CurvePoint, DischargeSite } from "../site.ts";

export interface FlowByLevel {
  at_m3s(level_m: number): number;
  /** At some level the pump has more head than is asked for at its curve's last point: that point's flow is taken, it moves more. */
  readonly beyondCurve: boolean;
  /** At some level it has less head than is asked for: there it moves nothing. */
  readonly tooLittleHead: boolean;
}

/** What a pump was measured to move, level rising; one entry where nothing tells how that goes with the level. */
export type MeasuredFlows = readonly {
  readonly level_m: number;
  readonly flow_m3s: number;
  readonly uFlow_m3s: number;
}[];

const step_m = 0.02;

/**
 * Duty points of a published curve on a discharge, a table from the bottom to `top_m`, straight between its rows: between
 * rows so close the flow bends by parts in ten thousand at the most.
 */
export function publishedFlow(points: readonly CurvePoint[], discharge: DischargeSite, top_m: number): FlowByLevel {
  const curve = pumpCurve(points);
  let beyondCurve = false;
  let tooLittleHead = false;
  const rows = Array.from({ length: Math.ceil(top_m / step_m) + 1 }, (_, i) => {
    const meeting = meetDischarge(curve, discharge, i * step_m);
    if (meeting.dutyPoint !== null) return meeting.dutyPoint.flow_m3s;
    if (meeting.reason === "beyond-the-curve") {
      beyondCurve = true;
      return curve.maximumFlow_m3s;
    }
    tooLittleHead = true;
    return 0;
  });
  return { at_m3s: (level_m) => between(rows, level_m / step_m), beyondCurve, tooLittleHead };
}

function between(rows: readonly number[], place: number): number {
  const i = Math.max(0, Math.min(rows.length - 2, Math.floor(place)));
  const part = Math.max(0, Math.min(1, place - i));
  const low = rows[i] as number;
  return low + part * ((rows[i + 1] ?? low) - low);
}

/** The line through what was measured is carried on so far beyond it without a published curve; then it is level. */
const carriedOn_m = 0.3;

/**
 * As measured between the levels at which it was measured; beyond them in proportion to the published curve, or, where
 * there is none, along the line a little farther.
 *
 * @param sigmas so many standard uncertainties more
 */
export function measuredFlow(measured: MeasuredFlows, published: FlowByLevel | null, sigmas = 0): FlowByLevel {
  const first = measured[0];
  const last = measured.at(-1);
  if (first === undefined || last === undefined) throw new RangeError("measuredFlow: nothing was measured");
  const flowOf = ({ flow_m3s, uFlow_m3s }: MeasuredFlows[number]) => Math.max(0, flow_m3s + sigmas * uFlow_m3s);
  const slope_m2s = last === first ? 0 : (flowOf(last) - flowOf(first)) / (last.level_m - first.level_m);

  const within = (level_m: number): number => {
    const above = measured.find((point) => point.level_m >= level_m) ?? last;
    const below = measured[measured.indexOf(above) - 1] ?? above;
    if (below === above) return flowOf(above);
    const part = (level_m - below.level_m) / (above.level_m - below.level_m);
    return flowOf(below) + part * (flowOf(above) - flowOf(below));
  };

  const at_m3s = (level_m: number): number => {
    const edge = level_m < first.level_m ? first : level_m > last.level_m ? last : null;
    if (edge === null) return within(level_m);
    const there = published?.at_m3s(level_m) ?? 0;
    const atEdge = published?.at_m3s(edge.level_m) ?? 0;
    if (there > 0 && atEdge > 0) return (flowOf(edge) * there) / atEdge;
    const away_m = Math.max(-carriedOn_m, Math.min(carriedOn_m, level_m - edge.level_m));
    return Math.max(0, flowOf(edge) + slope_m2s * away_m);
  };

  return { at_m3s, beyondCurve: false, tooLittleHead: false };
}

/** A curve with its heads times `headShare`, at `speed` times full speed: the laws of affinity. */
export function bentCurve(points: readonly CurvePoint[], headShare: number, speed = 1): CurvePoint[] {
  return points.map(({ flow_m3s, head_m }) => ({
    flow_m3s: flow_m3s * speed,
    head_m: head_m * headShare * speed ** 2,
  }));
}
