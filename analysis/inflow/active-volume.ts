// Inflow and discharge without a level: the volume between the floats, over the time that it took.

import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import { lengthUnknown, type TrackerContext, uEdges_s } from "../cycles/tracker-context.ts";
import { lostInSpinUp_s } from "./fit-run.ts";

/** Trip levels of a float repeat to about so much (standard uncertainty); common practice, no source. */
const uFloat_m = 0.004;

/** Null where a level shows what really lay between the switches, or where the floats' levels are not known. */
export function inflowFromActiveVolume(context: TrackerContext, rest_s: number): Cycle["inflow"] {
  const active = activeVolume(context);
  if (active === null || !(rest_s > 0)) return null;
  const flow_m3s = active.volume_m3 / rest_s;
  return {
    flow_m3s,
    uFlow_m3s: Math.hypot(active.uVolume_m3 / rest_s, (flow_m3s * uEdges_s(context)) / rest_s),
    degreesOfFreedom: Number.POSITIVE_INFINITY,
    method: "active-volume",
  };
}

export function rateFromActiveVolume(
  context: TrackerContext,
  run_s: number,
  inflow: FlowEstimate | null,
): FlowEstimate | null {
  const active = activeVolume(context);
  if (active === null || inflow === null || !(run_s > 0) || lengthUnknown(run_s, context)) return null;
  const flow_m3s = active.volume_m3 / pumpingTime_s(run_s, uEdges_s(context));
  const uFall_m3s = Math.hypot(active.uVolume_m3 / run_s, (flow_m3s * uEdges_s(context)) / run_s);
  return {
    flow_m3s: flow_m3s + inflow.flow_m3s,
    uFlow_m3s: Math.hypot(uFall_m3s, inflow.uFlow_m3s),
    degreesOfFreedom: Number.POSITIVE_INFINITY,
  };
}

/** Length of a run at full flow; the mean of 1/time is a little more than 1/mean, by the variance of the edges. */
export function pumpingTime_s(run_s: number, uRun_s: number): number {
  return Math.max(run_s - lostInSpinUp_s, run_s / 2) + uRun_s ** 2 / run_s;
}

/** Between the two float levels, each uncertain by the float's repeatability. */
function activeVolume({ basin, geometry, hasLevel }: TrackerContext) {
  const { startLevel_m, stopLevel_m } = basin;
  if (hasLevel || startLevel_m === null || stopLevel_m === null) return null;
  return {
    volume_m3: geometry.volume_m3(startLevel_m) - geometry.volume_m3(stopLevel_m),
    uVolume_m3: uFloat_m * Math.hypot(geometry.area_m2(startLevel_m), geometry.area_m2(stopLevel_m)),
  };
}
