// Sums and means of flows with their uncertainties; null where a part is not known.

import { effectiveDegreesOfFreedom, type Term } from "../uncertainty/combine.ts";
import { joinParts, type OtherParts, otherSources } from "../uncertainty/parts.ts";
import type { FlowEstimate } from "./cycle.ts";

/** Errors of the two taken as independent. */
export function plus(a: FlowEstimate | null, b: FlowEstimate | null): FlowEstimate | null {
  if (a === null || b === null) return null;
  return {
    flow_m3s: a.flow_m3s + b.flow_m3s,
    uFlow_m3s: Math.hypot(a.uFlow_m3s, b.uFlow_m3s),
    degreesOfFreedom: together(a, b),
    ...partsOf(joinParts([a.parts, b.parts])),
  };
}

function together(a: FlowEstimate, b: FlowEstimate, ofA = 1, ofB = 1): number {
  return effectiveDegreesOfFreedom([
    { u: ofA * a.uFlow_m3s, degreesOfFreedom: a.degreesOfFreedom },
    { u: ofB * b.uFlow_m3s, degreesOfFreedom: b.degreesOfFreedom },
  ]);
}

export function minus(a: FlowEstimate | null, b: FlowEstimate | null): FlowEstimate | null {
  return plus(a, b === null ? null : { ...b, flow_m3s: -b.flow_m3s });
}

/** The one that is known where the other is not. */
export function meanOf(a: FlowEstimate | null, b: FlowEstimate | null): FlowEstimate | null {
  if (a === null || b === null) return a ?? b;
  return between(a, b, 0.5);
}

/** `a` at share 0, `b` at share 1; a straight line between and beyond. */
export function between(a: FlowEstimate, b: FlowEstimate, share: number): FlowEstimate {
  return {
    flow_m3s: a.flow_m3s * (1 - share) + b.flow_m3s * share,
    uFlow_m3s: Math.hypot(a.uFlow_m3s * (1 - share), b.uFlow_m3s * share),
    degreesOfFreedom: together(a, b, 1 - share, share),
    ...partsOf(joinParts([a.parts, b.parts], [1 - share, share])),
  };
}

/** The flow with further parts in its uncertainty: independent of what it has, of infinitely many degrees of freedom. */
export function withParts<Estimate extends FlowEstimate>(estimate: Estimate, added: OtherParts): Estimate {
  const terms: Term[] = [];
  for (const source of otherSources) {
    const u = added[source] ?? 0;
    if (u !== 0) terms.push({ u, degreesOfFreedom: Number.POSITIVE_INFINITY });
  }
  if (terms.length === 0) return estimate;
  const { uFlow_m3s, degreesOfFreedom } = estimate;
  return {
    ...estimate,
    uFlow_m3s: Math.hypot(uFlow_m3s, ...terms.map(({ u }) => u)),
    degreesOfFreedom: effectiveDegreesOfFreedom([{ u: uFlow_m3s, degreesOfFreedom }, ...terms]),
    ...partsOf(joinParts([estimate.parts, added])),
  };
}

function partsOf(parts: OtherParts | undefined): Pick<FlowEstimate, "parts"> {
  return parts === undefined ? {} : { parts };
}
