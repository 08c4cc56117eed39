// What a person types into a field, into SI and back: `18`, `1-1/2`, `45.7 cm`. Pure.

import type { UnitSystem } from "../../analysis/units/display.ts";
import { expectedQuantity, parseQuantity, QuantityError } from "../../analysis/units/quantity.ts";
import { fromSi } from "../../analysis/units/unit.ts";
import type { Field } from "./fields.ts";

export type Entry =
  | { readonly ok: true; readonly value: number | null }
  | { readonly ok: false; readonly problem: string };

/** @returns SI, or the plain number; null of an empty text; else what is wrong, in one sentence */
export function readEntry(text: string, field: Field, system: UnitSystem): Entry {
  const written = text.trim().replace(/^(\d+),(\d+)/, "$1.$2"); // 1,5 as much of the world writes it
  if (written === "") return { ok: true, value: null };
  const { least, most, open } = field;
  const value = numberIn(written, field, system);
  // Under zero is a number all the same: what is wrong with it is where it lies.
  const isUnder = least >= 0 && /^[-−]\s*[\d.]/.test(written);
  if (typeof value === "string" && !isUnder) return { ok: false, problem: value };
  if (typeof value === "number" && value <= most && (open ? value > least : value >= least)) return { ok: true, value };
  const bounds = open
    ? `more than ${shown(least, field, system)} and at most ${shown(most, field, system)}`
    : `from ${shown(least, field, system)} to ${shown(most, field, system)}`;
  return { ok: false, problem: `Expected ${bounds}, found ${written}.` };
}

function numberIn(written: string, field: Field, system: UnitSystem): number | string {
  const { dimension, units, word } = field;
  const hasUnit = /[a-z"'°%]/i.test(written);
  if (dimension === null || units === null) {
    const number = Number(
      hasUnit && word !== undefined ? written.replace(new RegExp(`\\s*${word}$`, "i"), "") : written,
    );
    return Number.isFinite(number) ? number : `Expected a number, such as 12, found ${written}.`;
  }
  try {
    return parseQuantity(hasUnit ? written : `${written} ${units[system]}`, dimension);
  } catch (error) {
    if (!(error instanceof QuantityError)) throw error;
    return `Expected ${expectedQuantity(dimension)}, found ${written}.`;
  }
}

/** A value as the field shows it, without its unit; empty when not known. */
export function entryText(value: number | null, field: Field, system: UnitSystem): string {
  if (value === null) return "";
  const number = field.units === null ? value : fromSi(value, field.units[system]);
  return String(Number(number.toFixed(field.decimals)));
}

export function unitWord({ units, word }: Field, system: UnitSystem): string {
  return units === null ? (word ?? "") : units[system].replace(/2$/, "²");
}

/** For a screen reader, to which `in` is a word of its own. */
export function spokenUnit(unit: string): string {
  return spoken[unit] ?? unit;
}

const spoken: Readonly<Record<string, string>> = {
  in: "inches",
  ft: "feet",
  cm: "centimetres",
  mm: "millimetres",
  m: "metres",
  "in²": "square inches",
  "cm²": "square centimetres",
  gpm: "gallons a minute",
  "L/min": "litres a minute",
  s: "seconds",
  h: "hours",
  W: "watts",
  V: "volts",
  Ah: "ampere hours",
};

function shown(value: number, field: Field, system: UnitSystem): string {
  const number = field.units === null ? value : fromSi(value, field.units[system]);
  return `${Number(number.toPrecision(4))} ${unitWord(field, system)}`.trim();
}
