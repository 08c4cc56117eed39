// Figures as a person reads them, in the chosen unit system. Units and decimals are in
// analysis/units/display.ts.

import type { FlowEstimate } from "../analysis/cycles/cycle.ts";
import { studentTQuantile } from "../analysis/statistics/student-t.ts";
import { decimalsFor, figure, fixed, toDisplay, type UnitSystem } from "../analysis/units/display.ts";

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

/** `12 s`, `4 min`, `1 h 20 min`, `3 d 4 h`: the two largest parts that matter. */
export function duration(span_s: number): string {
  const s = Math.max(0, Math.round(span_s));
  if (s < 60) return `${s} s`;
  if (s < 600 && s % 60 !== 0) return `${Math.floor(s / 60)} min ${s % 60} s`;
  const minutes = Math.round(s / 60);
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return minutes % 60 ? `${hours} h ${minutes % 60} min` : `${hours} h`;
  const days = Math.floor(hours / 24);
  return hours % 24 ? `${days} d ${hours % 24} h` : `${days} d`;
}

/** One part only, for a sentence: `12 s`, `4 min`, `3 h`, `2 days`. */
export function roughDuration(span_s: number): string {
  const s = Math.max(0, span_s);
  if (s < 90) return `${Math.round(s)} s`;
  if (s < 90 * 60) return `${Math.round(s / 60)} min`;
  if (s < 48 * 3600) return `${Math.round(s / 3600)} h`;
  return `${Math.round(s / 86_400)} days`;
}

/** A run or rest in a table: seconds with a tenth below a minute, then minutes and seconds. */
export function runLength(span_s: number | null): string {
  if (span_s === null) return "–";
  if (span_s < 59.95) return `${span_s.toFixed(1)} s`;
  return duration(span_s);
}
