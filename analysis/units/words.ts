// Quantities as a person reads them in the units of the site, and nothing beside: for sums that are done again by hand.

import { fromSi, type Unit } from "./unit.ts";

export interface Words {
  flow(flow_m3s: number): string;
  volume(volume_m3: number): string;
  /** Water levels and other small lengths. */
  level(level_m: number): string;
  /** Heads and lengths of pipe. */
  head(head_m: number): string;
  /** What a pipe or a fitting takes of it, in two figures. */
  smallHead(head_m: number): string;
  velocity(velocity_ms: number): string;
  /** Volume of one inch, or one millimetre, of water: with the digits that sums over a height want. */
  perHeight(area_m2: number): string;
  area(area_m2: number): string;
  /** Rain. */
  depth(depth_m: number): string;
  temperature(temperature_c: number): string;
  duration(duration_s: number): string;
  readonly flowUnit: Unit;
  readonly headUnit: Unit;
}

export function words(displayUnits: "us" | "metric"): Words {
  const us = displayUnits === "us";
  const as = (unit: Unit) => (value: number) => `${figures(fromSi(value, unit))} ${unit}`;
  const flowUnit = us ? "gpm" : "L/min";
  const headUnit = us ? "ft" : "m";
  return {
    flow: as(flowUnit),
    volume: as(us ? "gal" : "L"),
    level: as(us ? "in" : "mm"),
    head: as(headUnit),
    smallHead: (head_m) => `${twoFigures(fromSi(head_m, headUnit))} ${headUnit}`,
    velocity: (velocity_ms) => (us ? `${figures(fromSi(velocity_ms, "ft"))} ft/s` : `${figures(velocity_ms)} m/s`),
    perHeight: (area_m2) =>
      us ? `${four(fromSi(area_m2 * 0.0254, "gal"))} gal per inch` : `${four(area_m2)} L per mm`,
    area: (area_m2) => (us ? `${four(fromSi(area_m2, "in2"))} in²` : `${four(area_m2)} m²`),
    depth: as(us ? "in" : "mm"),
    temperature: as(us ? "°F" : "°C"),
    duration: lasting,
    flowUnit,
    headUnit,
  };
}

/** Three figures, or all before the point when there are more; a last zero is not written. */
export function figures(value: number): string {
  const rounded = Math.abs(value) >= 100 ? Math.round(value) : Number(value.toPrecision(3));
  return String(Object.is(rounded, -0) ? 0 : rounded);
}

function four(value: number): string {
  return String(Number(value.toPrecision(4)));
}

/** Two figures, for what is known no better: a price in head, a power, a share. */
export function twoFigures(value: number): string {
  const rounded = Math.abs(value) >= 10 ? Math.round(value) : Number(value.toPrecision(2));
  return String(Object.is(rounded, -0) ? 0 : rounded);
}

/**
 * `8.59 ± 0.51`: three figures of the value, fewer where it is known no better; the ± is left out where it would show as 0.
 *
 * @param u95 half-width of the 95 % interval; null: not known
 */
export function plusMinus(value: number, u95: number | null): string {
  if (u95 === null || !(u95 > 0) || value === 0) return figures(value);
  const place = (x: number) => Math.floor(Math.log10(Math.abs(x)));
  const decimals = Math.min(Math.max(0, 2 - place(value)), 1 - place(u95));
  const shown = (x: number) => (Math.round(x * 10 ** decimals) / 10 ** decimals).toFixed(Math.max(0, decimals));
  return Number(shown(u95)) > 0 ? `${shown(value)} ± ${shown(u95)}` : figures(value);
}

/** To two or three figures: `45 s`, `12 min`, `3.4 h`, `2.1 days`. */
function lasting(duration_s: number): string {
  if (duration_s < 100) return `${figures(duration_s)} s`;
  if (duration_s < 7200) return `${figures(duration_s / 60)} min`;
  if (duration_s < 172_800) return `${figures(duration_s / 3600)} h`;
  return `${figures(duration_s / 86_400)} days`;
}
