// Figures as a person reads them, in the chosen unit system. The page's only door out of SI; factors are in
// analysis/units.

import type { FlowEstimate } from "../analysis/cycles/cycle.ts";
import { studentTQuantile } from "../analysis/statistics/student-t.ts";
import { fromSi, type Unit } from "../analysis/units/unit.ts";

export type UnitSystem = "us" | "metric";

/** What a figure measures: decides its unit and how finely it is written. */
export type Measure = "level" | "levelRate" | "volume" | "flow" | "head" | "temperature";

interface Display {
  readonly unit: Unit;
  readonly decimals: number;
  /** For a rate: the unit's name goes on with this, and the SI figure is taken per minute. */
  readonly perMinute?: true;
}

const displays: Readonly<Record<UnitSystem, Readonly<Record<Measure, Display>>>> = {
  us: {
    level: { unit: "in", decimals: 1 },
    levelRate: { unit: "in", decimals: 2, perMinute: true },
    volume: { unit: "gal", decimals: 2 },
    flow: { unit: "gpm", decimals: 1 },
    head: { unit: "ft", decimals: 1 },
    temperature: { unit: "°F", decimals: 0 },
  },
  metric: {
    level: { unit: "cm", decimals: 1 },
    levelRate: { unit: "cm", decimals: 1, perMinute: true },
    volume: { unit: "L", decimals: 1 },
    flow: { unit: "L/min", decimals: 1 },
    head: { unit: "m", decimals: 2 },
    temperature: { unit: "°C", decimals: 0 },
  },
};

/** From SI to the unit on the screen, as a number, for a chart's axis. */
export function toDisplay(value_si: number, measure: Measure, system: UnitSystem): number {
  const { unit, perMinute } = displays[system][measure];
  return fromSi(perMinute ? value_si * 60 : value_si, unit);
}

export function unitName(measure: Measure, system: UnitSystem): string {
  const { unit, perMinute } = displays[system][measure];
  return perMinute ? `${unit}/min` : unit;
}

/** The figure alone, `11.3`; an en dash when it is not known. */
export function figure(value_si: number | null, measure: Measure, system: UnitSystem, decimals?: number): string {
  if (value_si === null || !Number.isFinite(value_si)) return "–";
  return fixed(toDisplay(value_si, measure, system), decimals ?? displays[system][measure].decimals);
}

/** The figure and its unit, `11.3 in`; `not known` when it is not. */
export function quantity(value_si: number | null, measure: Measure, system: UnitSystem): string {
  if (value_si === null || !Number.isFinite(value_si)) return "not known";
  return `${figure(value_si, measure, system)} ${unitName(measure, system)}`;
}

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

/** Decimals that leave an uncertainty two significant digits (JCGM 100:2008, 7.2.6). */
export function decimalsFor(halfWidth: number): number {
  if (!(halfWidth > 0) || !Number.isFinite(halfWidth)) return 1;
  return Math.min(mostDecimals, Math.max(0, 1 - Math.floor(Math.log10(halfWidth))));
}

/** No instrument resolves more; figures without noise would. */
const mostDecimals = 6;

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

/** Rounded, with a true minus sign and no negative zero. */
export function fixed(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  if (!text.startsWith("-")) return text;
  return Number(text) === 0 ? text.slice(1) : `−${text.slice(1)}`;
}
