// Where a pump's curve meets the curve of what it pumps into. What that is, a function of flow says.

import type { PumpCurve } from "./pump-curve.ts";

export interface DutyPoint {
  readonly flow_m3s: number;
  readonly head_m: number;
}

/**
 * Why there is no duty point: at the curve's first point the pump has less head than is asked for, so it moves nothing
 * (`head-too-low`, or `before-the-curve` when that point is not at shut-off); or it still has more at its last point
 * (`beyond-the-curve`), where its curve says nothing.
 */
export type NoDutyPoint = "head-too-low" | "before-the-curve" | "beyond-the-curve";

export type CurvesMeeting =
  | { readonly dutyPoint: DutyPoint; readonly reason: null }
  | { readonly dutyPoint: null; readonly reason: NoDutyPoint };

/**
 * The flow at which the pump's head is the head asked for, by halving the interval in which their difference changes
 * sign. A pump's curve falls and a system's rises, so there is one at the most.
 *
 * @param curve         the pump
 * @param systemHead_m  head asked for at a flow, m; it must not fall
 * @returns flow in m³/s, to the last digits, and head in m
 */
export function curvesMeet(curve: PumpCurve, systemHead_m: (flow_m3s: number) => number): CurvesMeeting {
  const spare_m = (flow_m3s: number) => (curve.head_m(flow_m3s) ?? Number.NaN) - systemHead_m(flow_m3s);
  let low = curve.minimumFlow_m3s;
  let high = curve.maximumFlow_m3s;
  const atStart = spare_m(low);
  if (low === 0 && !(atStart > 0)) return { dutyPoint: null, reason: "head-too-low" };
  if (!(atStart >= 0)) return { dutyPoint: null, reason: "before-the-curve" };
  if (!(spare_m(high) <= 0)) return { dutyPoint: null, reason: "beyond-the-curve" };
  while (high - low > 1e-14 * high) {
    const middle = (low + high) / 2;
    if (spare_m(middle) > 0) low = middle;
    else high = middle;
  }
  const flow_m3s = (low + high) / 2;
  return { dutyPoint: { flow_m3s, head_m: systemHead_m(flow_m3s) }, reason: null };
}
