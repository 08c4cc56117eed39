// From SI with standard uncertainties to the figures of the sizing answer.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { normalQuantile } from "../statistics/normal-quantile.ts";
import { studentTQuantile } from "../statistics/student-t.ts";
import type { SizingFlow, SizingTime } from "./answer/figures.ts";

export function lpm(flow_m3s: number): number {
  return flow_m3s * 60_000;
}

export function m3s(flow_lpm: number): number {
  return flow_lpm / 60_000;
}

/** Half-width of the 95 % interval of a normal distribution. */
export function half(u: number): number {
  return normalQuantile(0.975) * u;
}

export function u95_lpm({ uFlow_m3s, degreesOfFreedom }: FlowEstimate): number {
  return lpm(studentTQuantile(0.975, degreesOfFreedom) * uFlow_m3s);
}

/** An uncertainty that is NaN is not known. */
export function sizingFlow(estimate: FlowEstimate): SizingFlow {
  return { lpm: lpm(estimate.flow_m3s), u95_lpm: known(u95_lpm(estimate)) };
}

export function known(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}

/**
 * A time that a volume takes at a flow: its inverse has an interval that is the same to both sides.
 *
 * @returns null where nothing flows
 */
export function timeToFill(
  volume_m3: number,
  uVolume_m3: number,
  flow_m3s: number,
  uFlow_m3s: number,
): SizingTime | null {
  if (!(volume_m3 >= 0 && flow_m3s > 0)) return null;
  const s = volume_m3 / flow_m3s;
  const share = half(Math.hypot(volume_m3 === 0 ? 0 : uVolume_m3 / volume_m3, uFlow_m3s / flow_m3s));
  return { s, low_s: s / (1 + share), high_s: share < 1 ? s / (1 - share) : null };
}
