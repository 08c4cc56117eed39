// Which unit a person reads a figure in, in US or metric use, and how finely. The door out of SI for the page and for
// paper; factors are in unit.ts.

import { fromSi, type Unit } from "./unit.ts";

export type UnitSystem = "us" | "metric";

/** What a figure measures: decides its unit and how finely it is written. */
export type Measure =
  | "level"
  | "levelRate"
  | "volume"
  | "flow"
  | "head"
  | "temperature"
  | "length"
  | "bore"
  | "velocity"
  | "rain"
  | "area";

interface Display {
  readonly unit: Unit;
  readonly decimals: number;
  /** For a rate: the unit's name goes on with `/min` or `/s`, and the SI figure is taken per so many seconds. */
  readonly per?: "min" | "s";
}

const displays: Readonly<Record<UnitSystem, Readonly<Record<Measure, Display>>>> = {
  us: {
    level: { unit: "in", decimals: 1 },
    levelRate: { unit: "in", decimals: 2, per: "min" },
    volume: { unit: "gal", decimals: 2 },
    flow: { unit: "gpm", decimals: 1 },
    head: { unit: "ft", decimals: 1 },
    temperature: { unit: "°F", decimals: 0 },
    length: { unit: "ft", decimals: 1 },
    bore: { unit: "in", decimals: 3 },
    velocity: { unit: "ft", decimals: 2, per: "s" },
    rain: { unit: "in", decimals: 2 },
    area: { unit: "in2", decimals: 1 },
  },
  metric: {
    level: { unit: "cm", decimals: 1 },
    levelRate: { unit: "cm", decimals: 1, per: "min" },
    volume: { unit: "L", decimals: 1 },
    flow: { unit: "L/min", decimals: 1 },
    head: { unit: "m", decimals: 2 },
    temperature: { unit: "°C", decimals: 0 },
    length: { unit: "m", decimals: 2 },
    bore: { unit: "mm", decimals: 1 },
    velocity: { unit: "m", decimals: 2, per: "s" },
    rain: { unit: "mm", decimals: 1 },
    area: { unit: "cm2", decimals: 0 },
  },
};

const seconds = { min: 60, s: 1 } as const;

/** From SI to the unit that is shown, as a number, for a chart's axis. */
export function toDisplay(value_si: number, measure: Measure, system: UnitSystem): number {
  const { unit, per } = displays[system][measure];
  return fromSi(per === undefined ? value_si : value_si * seconds[per], unit);
}

export function unitName(measure: Measure, system: UnitSystem): string {
  const { unit, per } = displays[system][measure];
  const name = unit.replace(/2$/, "²");
  return per === undefined ? name : `${name}/${per}`;
}

/** The figure alone, `11.3`; an en dash when it is not known. */
export function figure(value_si: number | null, measure: Measure, system: UnitSystem, decimals?: number): string {
  if (value_si === null || !Number.isFinite(value_si)) return "–";
  return fixed(toDisplay(value_si, measure, system), decimals ?? displays[system][measure].decimals);
}

/** The figure and its unit, `11.3 in`; `not known` when it is not. */
export function quantity(value_si: number | null, measure: Measure, system: UnitSystem, decimals?: number): string {
  if (value_si === null || !Number.isFinite(value_si)) return "not known";
  return `${figure(value_si, measure, system, decimals)} ${unitName(measure, system)}`;
}

/** Decimals that leave an uncertainty two significant digits (JCGM 100:2008, 7.2.6). */
export function decimalsFor(halfWidth: number): number {
  if (!(halfWidth > 0) || !Number.isFinite(halfWidth)) return 1;
  return Math.min(mostDecimals, Math.max(0, 1 - Math.floor(Math.log10(halfWidth))));
}

/** No instrument resolves more; figures without noise would. */
const mostDecimals = 6;

/** Rounded, with a true minus sign and no negative zero. */
export function fixed(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  if (!text.startsWith("-")) return text;
  return Number(text) === 0 ? text.slice(1) : `−${text.slice(1)}`;
}
