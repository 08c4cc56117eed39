// Quantities for a person to read at the command line: in the site's own units, with the other system's beside.

import { fromSi, type Unit } from "../../analysis/units/unit.ts";

/** Writes one SI value, such as `6 in (152 mm)`. */
export type InWords = (value: number) => string;

export interface UnitWords {
  readonly level: InWords;
  readonly head: InWords;
  readonly area: InWords;
  readonly volume: InWords;
  readonly flow: InWords;
  readonly velocity: InWords;
  /** Of a free surface in m²: the volume of one inch, or one centimetre, of water. */
  readonly volumePerHeight: InWords;
}

export function inWords(displayUnits: "us" | "metric"): UnitWords {
  const usFirst = displayUnits === "us";
  const both = (us: InWords, metric: InWords): InWords => {
    return (value) => (usFirst ? `${us(value)} (${metric(value)})` : `${metric(value)} (${us(value)})`);
  };
  const inUnits = (us: Unit, metric: Unit) => both(inUnit(us), inUnit(metric));
  return {
    level: inUnits("in", "mm"),
    head: inUnits("ft", "m"),
    area: inUnits("in2", "cm2"),
    volume: inUnits("gal", "L"),
    flow: inUnits("gpm", "L/min"),
    velocity: both(
      (speed_ms) => `${threeFigures(fromSi(speed_ms, "ft"))} ft/s`,
      (speed_ms) => `${threeFigures(speed_ms)} m/s`,
    ),
    volumePerHeight: both(
      (area_m2) => `${inUnit("gal")(area_m2 * 0.0254)} per inch`,
      (area_m2) => `${inUnit("L")(area_m2 * 0.01)} per centimetre`,
    ),
  };
}

function inUnit(unit: Unit): InWords {
  return (value) => `${threeFigures(fromSi(value, unit))} ${unit}`;
}

/** Three figures, or all before the point when there are more. */
function threeFigures(value: number): string {
  const rounded = Math.abs(value) >= 100 ? Math.round(value) : Number(value.toPrecision(3));
  return String(rounded);
}
