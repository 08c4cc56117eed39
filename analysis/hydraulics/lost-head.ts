// Where a pump's flow is lost: what it was measured to move against what its published curve gives on the discharge as
// given, as metres of head that nothing on paper explains.

import type { FlowEstimate } from "../cycles/cycle.ts";
import type { DischargeSite } from "../site.ts";
import { dischargeHead } from "./discharge-head.ts";
import { dutyPoint } from "./duty-point.ts";
import type { PumpCurve } from "./pump-curve.ts";

export interface LostHead {
  readonly expectedFlow_m3s: number;
  /** Expected less measured. */
  readonly shortfall_m3s: number;
  readonly uShortfall_m3s: number;
  /** Published head at the measured flow less what the discharge asks for at that flow; below 0: the pump does better. */
  readonly extraHead_m: number;
  /** Of the measured flow alone. */
  readonly uExtraHead_m: number;
  /** What curves of this kind are off by from pump to pump, as a head. */
  readonly tolerance_m: number;
  /** So much more of the same pipe would cost as much; null where the pump does better. */
  readonly samePipe_m: number | null;
  readonly fits: "as-published" | "less-than-published" | "more-than-published";
}

/**
 * Tolerance of the head on a published curve, as a share: that of acceptance grade 3B, the widest.
 * @see ISO 9906:2012, Rotodynamic pumps – Hydraulic performance acceptance tests, table 8
 */
export const headTolerance = 0.07;
const clear = 2;

/**
 * @param measured flow at `level_m`, all errors included: against a published curve those of basin and sensor do not cancel
 * @returns null where there is no duty point, or where the measured flow is off the published curve
 * @throws {RangeError} as `dischargeHead`
 */
export function lostHead(
  curve: PumpCurve,
  discharge: DischargeSite,
  level_m: number,
  measured: FlowEstimate,
): LostHead | null {
  const expected = dutyPoint(curve, discharge, level_m);
  const { flow_m3s, uFlow_m3s } = measured;
  const published_m = curve.head_m(flow_m3s);
  if (expected === null || published_m === null) return null;
  const spare_m = (flow: number) => (curve.head_m(flow) ?? published_m) - headAt(discharge, flow, level_m);
  const extraHead_m = spare_m(flow_m3s);
  const step_m3s = 0.01 * flow_m3s;
  const uExtraHead_m =
    (Math.abs(spare_m(flow_m3s + step_m3s) - spare_m(flow_m3s - step_m3s)) / (2 * step_m3s)) * uFlow_m3s;
  const tolerance_m = headTolerance * published_m;
  const off = Math.abs(extraHead_m) > Math.hypot(tolerance_m, clear * uExtraHead_m);
  return {
    expectedFlow_m3s: expected.flow_m3s,
    shortfall_m3s: expected.flow_m3s - flow_m3s,
    uShortfall_m3s: uFlow_m3s,
    extraHead_m,
    uExtraHead_m,
    tolerance_m,
    samePipe_m: extraHead_m > 0 ? extraHead_m / perMetre(discharge, flow_m3s, level_m) : null,
    fits: !off ? "as-published" : extraHead_m > 0 ? "less-than-published" : "more-than-published",
  };
}

function headAt(discharge: DischargeSite, flow_m3s: number, level_m: number): number {
  return dischargeHead(discharge, flow_m3s, level_m).totalDynamicHead_m;
}

function perMetre(discharge: DischargeSite, flow_m3s: number, level_m: number): number {
  const longer = { ...discharge, pipe: { ...discharge.pipe, length_m: discharge.pipe.length_m + 1 } };
  return headAt(longer, flow_m3s, level_m) - headAt(discharge, flow_m3s, level_m);
}
