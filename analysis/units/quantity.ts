// Reads a quantity as people write it, `18 in` or `1-1/2 in`, into SI. Pure, for the site file and for the page alike.
// Factors and names of units are in unit.ts.

import { type Dimension, toSi, unitNamed, units, unitsOf } from "./unit.ts";

/** A text that is not the quantity it should be; the message says what is expected and what was found. */
export class QuantityError extends Error {
  override readonly name = "QuantityError";
}

export interface QuantityOptions {
  /** A minus sign is allowed. Temperatures may always have one. */
  readonly signed?: boolean;
}

/**
 * Reads a number and its unit: `45.7 cm`, `3/4 in`, `1-1/2 in`, `1 1/2 in`, `2e3 L`, `30 gpm`, `½ hp`.
 *
 * @returns SI: m, m², m³, m³/s, s, W, °C, V or Ah; a share as a plain number
 * @throws {QuantityError} when the text is anything else
 */
export function parseQuantity(text: string, dimension: Dimension, options: QuantityOptions = {}): number {
  const found = text.trim();
  const fail = (what: string): never => {
    throw new QuantityError(`expected ${expectedQuantity(dimension)}, found ${what}`);
  };
  if (found === "") return fail("an empty text");

  const quoted = JSON.stringify(found);
  const [, numberText = "", unitText = ""] = splitNumber.exec(spellOutFractions(found)) ?? [];
  const number = parseNumber(numberText);
  if (number === null) return fail(quoted);
  if (unitText === "") return fail(`${found} without a unit`);
  const unit = unitNamed(unitText);
  if (unit === undefined) return fail(quoted);
  if (units[unit].dimension !== dimension) return fail(`${quoted}, which is ${article[units[unit].dimension]}`);

  const value = toSi(number, unit);
  if (!Number.isFinite(value)) return fail(`${quoted}, which is too large`);
  if (number < 0 && !options.signed && dimension !== "temperature") return fail(`${found}, which is negative`);
  return value;
}

/** What is expected, for a message: `a length with its unit, such as 18 in (units: mm, cm, m, in, ft)`. */
export function expectedQuantity(dimension: Dimension): string {
  const names = unitsOf(dimension).join(", ");
  return `${article[dimension]} with its unit, such as ${example[dimension]} (units: ${names})`;
}

const article: Readonly<Record<Dimension, string>> = {
  length: "a length",
  area: "an area",
  volume: "a volume",
  flow: "a flow",
  duration: "a duration",
  power: "a power",
  temperature: "a temperature",
  voltage: "a voltage",
  charge: "a charge",
  share: "a percentage",
};

const example: Readonly<Record<Dimension, string>> = {
  length: "18 in",
  area: "50 cm2",
  volume: "14 L",
  flow: "30 gpm",
  duration: "6 s",
  power: "0.33 hp",
  temperature: "10 °C",
  voltage: "12 V",
  charge: "100 Ah",
  share: "2 %",
};

// The number is all that can stand in one; its form is checked after. An exponent needs its digits, or `2 e` would
// swallow the unit.
const splitNumber = /^([+-]?[\d./]+(?:[eE][+-]?\d+)?(?:(?:\s*-\s*|\s+)\d+\/\d+)?)\s*(.*)$/;
const decimal = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;
const fraction = /^([+-]?)(?:(\d+)(?:\s*-\s*|\s+))?(\d+)\/(\d+)$/;

function parseNumber(text: string): number | null {
  if (decimal.test(text)) return Number(text);
  const [, sign, whole, above, below] = fraction.exec(text) ?? [];
  if (above === undefined || below === undefined || Number(below) === 0) return null;
  if (whole !== undefined && Number(above) >= Number(below)) return null; // 1-3/2: not how anyone writes a number
  const size = (Number(whole ?? 0) * Number(below) + Number(above)) / Number(below);
  return sign === "-" ? -size : size;
}

const fractionSigns: Readonly<Record<string, string>> = {
  "¼": "1/4",
  "½": "1/2",
  "¾": "3/4",
  "⅛": "1/8",
  "⅜": "3/8",
  "⅝": "5/8",
  "⅞": "7/8",
};

function spellOutFractions(text: string): string {
  return text.replaceAll(/\s*([¼½¾⅛⅜⅝⅞])/g, (_, sign: string) => ` ${fractionSigns[sign]}`).trimStart();
}
