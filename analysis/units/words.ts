// Quantities as a person reads them in the units of the site, and nothing beside: for sums that are done again by hand.

import { fromSi, type Unit } from "./unit.ts";

export interface Words {
  flow(flow_m3s: number): string;
  volume(volume_m3: number): string;
  /** Water levels and other small lengths. */
  level(level_m: number): string;
  /** Heads and lengths of pipe. */
  head(head_m: number): string;
  velocity(velocity_ms: number): string;
  /** Volume of one inch, or one centimetre, of water. */
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
    velocity: (velocity_ms) => (us ? `${figures(fromSi(velocity_ms, "ft"))} ft/s` : `${figures(velocity_ms)} m/s`),
    perHeight: (area_m2) =>
      us ? `${as("gal")(area_m2 * 0.0254)} per inch` : `${as("L")(area_m2 * 0.01)} per centimetre`,
    area: as(us ? "in2" : "cm2"),
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

/** To two or three figures: `45 s`, `12 min`, `3.4 h`, `2.1 days`. */
function lasting(duration_s: number): string {
  if (duration_s < 100) return `${figures(duration_s)} s`;
  if (duration_s < 7200) return `${figures(duration_s / 60)} min`;
  if (duration_s < 172_800) return `${figures(duration_s / 3600)} h`;
  return `${figures(duration_s / 86_400)} days`;
}
