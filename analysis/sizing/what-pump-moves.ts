// What a pump moves on its discharge: as measured, or where its curve meets it, and how sure that is.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { dischargeHead } from "../hydraulics/discharge-head.ts";
import { dutyPoint } from "../hydraulics/duty-point.ts";
import { headWorksheet } from "../hydraulics/head-worksheet.ts";
import { headTolerance } from "../hydraulics/lost-head.ts";
import type { PumpCurve } from "../hydraulics/pump-curve.ts";
import type { DischargeSite } from "../site.ts";
import { normalQuantile } from "../statistics/normal-quantile.ts";
import type { SizingDuty } from "./answer/lift.ts";
import type { LoggedRecord } from "./request.ts";
import { lpm, m3s } from "./to-answer.ts";

/**
 * As the record shows it: of two pumps, with one failed. Where only the summary is at hand, as its margin has it, unless
 * that is the duty point's; its interval is that of the pump's learned line, NaN without one.
 */
export function measuredRate({ summary, pumpRate = null }: LoggedRecord): FlowEstimate | null {
  const { sizing, inflow, pump } = summary;
  const firm_lpm = sizing.firm_capacity_lpm ?? null;
  if (pumpRate !== null) return firm_lpm === null ? pumpRate : inProportion(pumpRate, m3s(firm_lpm));
  const peak_lpm = inflow.peak["600"]?.lpm ?? null;
  const moved_lpm = firm_lpm ?? (sizing.margin === null || peak_lpm === null ? null : sizing.margin * peak_lpm);
  const line = pump?.curve ?? [];
  const middle = line[line.length >> 1] ?? null;
  const duty_lpm = sizing.duty_point?.lpm ?? null;
  const measured_lpm = moved_lpm !== null && isNear(moved_lpm, duty_lpm) ? null : moved_lpm;
  if (measured_lpm === null && middle === null) return null;
  const known = middle ?? { lpm: 1, u95_lpm: Number.NaN };
  return {
    flow_m3s: m3s(measured_lpm ?? known.lpm),
    uFlow_m3s: (m3s(measured_lpm ?? known.lpm) * (known.u95_lpm / known.lpm)) / normalQuantile(0.975),
    degreesOfFreedom: Number.POSITIVE_INFINITY,
  };
}

/** Six digits are what a report gives. */
function isNear(moved_lpm: number, duty_lpm: number | null): boolean {
  return duty_lpm !== null && Math.abs(moved_lpm / duty_lpm - 1) < 1e-4;
}

function inProportion(rate: FlowEstimate, flow_m3s: number): FlowEstimate {
  return { ...rate, flow_m3s, uFlow_m3s: (rate.uFlow_m3s * flow_m3s) / rate.flow_m3s };
}

/** So much more lift, to see how much flow a head is worth. */
const step_m = 0.02;

/** What friction as published and pumps as tested leave open of a head, as a flow. */
export function curveEstimate(
  curve: PumpCurve,
  discharge: DischargeSite,
  level_m: number,
  { lpm: duty_lpm, head_m }: SizingDuty,
): FlowEstimate {
  const flow_m3s = m3s(duty_lpm);
  const higher = dutyAt(curve, { ...discharge, highPoint_m: discharge.highPoint_m + step_m }, level_m);
  const { uFrictionHead_m } = headWorksheet(discharge, flow_m3s, level_m);
  const uHead_m = Math.hypot(uFrictionHead_m, (headTolerance / Math.sqrt(3)) * head_m);
  const perHead = higher === null ? Number.NaN : (flow_m3s - m3s(higher.lpm)) / step_m;
  return { flow_m3s, uFlow_m3s: uHead_m * perHead, degreesOfFreedom: Number.POSITIVE_INFINITY };
}

export function dutyAt(curve: PumpCurve, discharge: DischargeSite, level_m: number): SizingDuty | null {
  const duty = dutyPoint(curve, discharge, level_m);
  if (duty === null) return null;
  const { velocity_ms } = dischargeHead(discharge, duty.flow_m3s, level_m);
  return { level_mm: level_m * 1000, lpm: lpm(duty.flow_m3s), head_m: duty.head_m, velocity_ms };
}
