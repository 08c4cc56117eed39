// From SI with standard uncertainties to the figures of the sizing answer.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { normalQuantile } from "../statistics/normal-quantile.ts";
import { studentTQuantile } from "../statistics/student-t.ts";
import { combinedUncertainty, effectiveDegreesOfFreedom, type Term } from "../uncertainty/combine.ts";
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

/** Marks a flow of which no more than a lower bound is known. */
export function atLeast(isLeast: boolean): { readonly at_least?: true } {
  return isLeast ? { at_least: true } : {};
}

export function known(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}

/**
 * Half-width of the 95 % interval of a product or quotient, as a share of it: by Student's t, with as many degrees of
 * freedom as what is joined has together; NaN where one of them is not known.
 */
export function halfShare(terms: readonly Term[]): number {
  if (terms.some(({ u }) => Number.isNaN(u))) return Number.NaN;
  return studentTQuantile(0.975, effectiveDegreesOfFreedom(terms)) * combinedUncertainty(terms.map(({ u }) => u));
}

/** A flow's uncertainty as a share of it. */
export function shareOf({ flow_m3s, uFlow_m3s, degreesOfFreedom }: FlowEstimate): Term {
  return { u: uFlow_m3s / flow_m3s, degreesOfFreedom };
}

/**
 * A time that a volume takes at a flow: its inverse has an interval that is the same to both sides.
 *
 * @returns null where nothing flows
 */
export function timeToFill(volume_m3: number, uVolume_m3: number, flow: FlowEstimate): SizingTime | null {
  if (!(volume_m3 >= 0 && flow.flow_m3s > 0)) return null;
  const s = volume_m3 / flow.flow_m3s;
  const ofVolume = { u: volume_m3 === 0 ? 0 : uVolume_m3 / volume_m3, degreesOfFreedom: Number.POSITIVE_INFINITY };
  const share = halfShare([ofVolume, shareOf(flow)]);
  return { s, low_s: known(s / (1 + share)), high_s: share < 1 ? s / (1 - share) : null };
}
