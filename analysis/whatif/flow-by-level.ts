// What a pump moves against the water level, as a table of duty points, and how that is bent to what it was measured to
// move. Where a curve ends before the two meet, it errs to the careful side; saying so is no-duty.ts's.

import { meetDischarge } from "../hydraulics/duty-point.ts";
import type { PumpCurve } from "../hydraulics/pump-curve.ts";
import { twoPumpsTogether } from "../hydraulics/two-pumps.ts";
import type { DischargeSite } from "../site.ts";

/** m³/s at a level. */
export type FlowByLevel = (level_m: number) => number;

/** What a pump was measured to move, level rising; one entry where nothing tells how that goes with the level. */
export type MeasuredFlows = readonly {
  readonly level_m: number;
  readonly flow_m3s: number;
  readonly uFlow_m3s: number;
}[];

const step_m = 0.02;

/**
 * Duty points of a published curve on a discharge, a table from the bottom to `top_m`, straight between its rows: between
 * rows so close the flow bends by parts in ten thousand at the most. Where the pump has too little head it moves nothing;
 * where it has some to spare at the end of its curve, what that ends with.
 */
export function publishedFlow(curve: PumpCurve, discharge: DischargeSite, top_m: number): FlowByLevel {
  const rows = Array.from({ length: Math.ceil(top_m / step_m) + 1 }, (_, i) => {
    const { dutyPoint, reason } = meetDischarge(curve, discharge, i * step_m);
    return dutyPoint?.flow_m3s ?? (reason === "beyond-the-curve" ? curve.maximumFlow_m3s : 0);
  });
  return (level_m) => between(rows, level_m / step_m);
}

function between(rows: readonly number[], place: number): number {
  const i = Math.max(0, Math.min(rows.length - 2, Math.floor(place)));
  const part = Math.max(0, Math.min(1, place - i));
  const low = rows[i] as number;
  return low + part * ((rows[i + 1] ?? low) - low);
}

/** Two pumps' flow bends no more than one's, and each of its rows takes a hundred times as long. */
const stepOfTwo_m = 0.1;

/** What two pumps move together; at a level at which a curve ends before they meet, what the better of them moves alone. */
export function flowOfTwo(
  curves: readonly [PumpCurve, PumpCurve],
  discharge: DischargeSite,
  top_m: number,
  alone_m3s: FlowByLevel,
): FlowByLevel {
  const rows = Array.from({ length: Math.ceil(top_m / stepOfTwo_m) + 1 }, (_, i) => {
    const level_m = i * stepOfTwo_m;
    return twoPumpsTogether(curves, discharge, level_m).duty?.flow_m3s ?? alone_m3s(level_m);
  });
  return (level_m) => between(rows, level_m / stepOfTwo_m);
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

  return (level_m) => {
    const edge = level_m < first.level_m ? first : level_m > last.level_m ? last : null;
    if (edge === null) return within(level_m);
    const there = published?.(level_m) ?? 0;
    const atEdge = published?.(edge.level_m) ?? 0;
    if (there > 0 && atEdge > 0) return (flowOf(edge) * there) / atEdge;
    const away_m = Math.max(-carriedOn_m, Math.min(carriedOn_m, level_m - edge.level_m));
    return Math.max(0, flowOf(edge) + slope_m2s * away_m);
  };
}
