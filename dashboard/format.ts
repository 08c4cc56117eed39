// Figures as a person reads them, in the chosen unit system. Units and decimals are in
// analysis/units/display.ts.

import type { FlowEstimate } from "../analysis/cycles/cycle.ts";
import { studentTQuantile } from "../analysis/statistics/student-t.ts";
import { decimalsFor, figure, fixed, toDisplay, type UnitSystem } from "../analysis/units/display.ts";
import { duration } from "../analysis/units/duration.ts";

export {
  decimalsFor,
  figure,
  fixed,
  type Measure,
  quantity,
  toDisplay,
  type UnitSystem,
  unitName,
} from "../analysis/units/display.ts";
export { duration, roughDuration } from "../analysis/units/duration.ts";

/** A flow as figure and half-width of its 95 % interval, both in the display unit and rounded alike. */
export function flowFigure(estimate: FlowEstimate, system: UnitSystem): { figure: string; u95: string } {
  const halfWidth = Math.abs(toDisplay(u95_m3s(estimate), "flow", system));
  const decimals = decimalsFor(halfWidth);
  const u95 = Number.isFinite(halfWidth) ? fixed(halfWidth, decimals) : "–";
  return { figure: figure(estimate.flow_m3s, "flow", system, decimals), u95 };
}

/** A flow without its interval, where there is room for a few digits: as well known as it is, to two decimals at most. */
export function shortFlow(estimate: FlowEstimate, system: UnitSystem): string {
  const halfWidth = Math.abs(toDisplay(u95_m3s(estimate), "flow", system));
  return figure(estimate.flow_m3s, "flow", system, Math.min(2, decimalsFor(halfWidth)));
}

/** Half-width of the interval that covers the true flow with 95 % probability (JCGM 100:2008, G.6.4). */
export function u95_m3s(estimate: FlowEstimate): number {
  if (!(estimate.degreesOfFreedom > 0)) return Number.POSITIVE_INFINITY;
  return estimate.uFlow_m3s * studentTQuantile(0.975, estimate.degreesOfFreedom);
}

/** A run or rest in a table: seconds with a tenth below a minute, then minutes and seconds. */
export function runLength(span_s: number | null): string {
  if (span_s === null) return "–";
  if (span_s < 59.95) return `${span_s.toFixed(1)} s`;
  return duration(span_s);
}
