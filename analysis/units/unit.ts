// The units that people write and read, and what each is in SI. The one place with conversion factors: the site file,
// recordings, the report, the page and the command line convert through here. Factors: NIST SP 811, appendix B.

/** What a quantity measures, with the SI unit that it has inside the program. */
export const siUnit = {
  length: "m",
  area: "m2",
  volume: "m3",
  flow: "m3/s",
  duration: "s",
  power: "W",
  temperature: "°C",
  voltage: "V",
  /** Not coulombs: every battery's sheet is in ampere-hours. */
  charge: "Ah",
  /** A plain number: 0.02 for 2 %. */
  share: null,
} as const;

export type Dimension = keyof typeof siUnit;

interface UnitDefinition {
  readonly dimension: Dimension;
  /** SI value = (value − zero) · times / over. Whole numbers, so that a decimal text comes out correctly rounded. */
  readonly times: number;
  readonly over: number;
  /** What 0 SI is in this unit; only temperatures have one. */
  readonly zero?: number;
  /** Other spellings, in lower case; the name itself also counts in any case. */
  readonly also: readonly string[];
}

// 1 in = 25.4 mm, 1 ft = 304.8 mm, 1 US gal = 231 in³ = 3.785411784 L, all exact by definition.
const definitions = {
  mm: { dimension: "length", times: 1, over: 1000, also: [] },
  cm: { dimension: "length", times: 1, over: 100, also: [] },
  m: { dimension: "length", times: 1, over: 1, also: [] },
  in: { dimension: "length", times: 254, over: 10_000, also: ["inch", "inches", '"'] },
  ft: { dimension: "length", times: 3048, over: 10_000, also: ["foot", "feet", "'"] },

  mm2: { dimension: "area", times: 1, over: 1e6, also: ["mm²"] },
  cm2: { dimension: "area", times: 1, over: 1e4, also: ["cm²"] },
  m2: { dimension: "area", times: 1, over: 1, also: ["m²"] },
  in2: { dimension: "area", times: 64_516, over: 1e8, also: ["in²", "sq in"] },
  ft2: { dimension: "area", times: 9_290_304, over: 1e8, also: ["ft²", "sq ft"] },

  mL: { dimension: "volume", times: 1, over: 1e6, also: [] },
  L: { dimension: "volume", times: 1, over: 1000, also: ["litre", "litres", "liter", "liters"] },
  m3: { dimension: "volume", times: 1, over: 1, also: ["m³"] },
  gal: { dimension: "volume", times: 3_785_411_784, over: 1e12, also: ["gallon", "gallons"] },
  in3: { dimension: "volume", times: 16_387_064, over: 1e12, also: ["in³", "cu in"] },
  ft3: { dimension: "volume", times: 28_316_846_592, over: 1e12, also: ["ft³", "cu ft"] },

  "L/min": { dimension: "flow", times: 1, over: 60_000, also: ["lpm"] },
  "L/s": { dimension: "flow", times: 1, over: 1000, also: ["lps"] },
  "L/h": { dimension: "flow", times: 1, over: 3.6e6, also: ["lph"] },
  "m3/h": { dimension: "flow", times: 1, over: 3600, also: ["m³/h"] },
  "m3/s": { dimension: "flow", times: 1, over: 1, also: ["m³/s"] },
  gpm: { dimension: "flow", times: 3_785_411_784, over: 60e12, also: ["gal/min"] },
  gph: { dimension: "flow", times: 3_785_411_784, over: 3600e12, also: ["gal/h", "gal/hr"] },

  ms: { dimension: "duration", times: 1, over: 1000, also: [] },
  s: { dimension: "duration", times: 1, over: 1, also: ["sec", "second", "seconds"] },
  min: { dimension: "duration", times: 60, over: 1, also: ["minute", "minutes"] },
  h: { dimension: "duration", times: 3600, over: 1, also: ["hr", "hour", "hours"] },
  d: { dimension: "duration", times: 86_400, over: 1, also: ["day", "days"] },

  W: { dimension: "power", times: 1, over: 1, also: ["watt", "watts"] },
  kW: { dimension: "power", times: 1000, over: 1, also: [] },
  // 550 ft·lbf/s, with 1 lbf = 4.4482216152605 N exactly.
  hp: { dimension: "power", times: 550 * 0.3048 * 4.4482216152605, over: 1, also: [] },

  "°C": { dimension: "temperature", times: 1, over: 1, also: ["c", "degc"] },
  "°F": { dimension: "temperature", times: 5, over: 9, zero: 32, also: ["f", "degf"] },

  V: { dimension: "voltage", times: 1, over: 1, also: ["volt", "volts"] },
  Ah: { dimension: "charge", times: 1, over: 1, also: [] },
  mAh: { dimension: "charge", times: 1, over: 1000, also: [] },

  "%": { dimension: "share", times: 1, over: 100, also: ["percent", "per cent"] },
} as const satisfies Readonly<Record<string, UnitDefinition>>;

export type Unit = keyof typeof definitions;

/** Every unit by name, for a caller that has the name as text. */
export const units: Readonly<Record<Unit, UnitDefinition>> = definitions;

/**
 * From a unit to SI.
 *
 * @returns m, m², m³, m³/s, s, W, °C, V, Ah or a plain number, by the unit's dimension
 */
export function toSi(value: number, unit: Unit): number {
  const { times, over, zero = 0 } = units[unit];
  return ((value - zero) * times) / over;
}

/**
 * From SI to a unit: `fromSi(inflow_m3s, "gpm")`.
 *
 * @param value m, m², m³, m³/s, s, W, °C, V, Ah or a plain number, by the unit's dimension
 */
export function fromSi(value: number, unit: Unit): number {
  const { times, over, zero = 0 } = units[unit];
  return (value * over) / times + zero;
}

/** The names of the units of a dimension, for a message or a list to choose from. */
export function unitsOf(dimension: Dimension): Unit[] {
  return unitNames.filter((name) => units[name].dimension === dimension);
}

/** The unit that a text names, in any case and in its other spellings; undefined if there is none. */
export function unitNamed(text: string): Unit | undefined {
  const wanted = text.toLowerCase();
  return unitNames.find((name) => name === text || name.toLowerCase() === wanted || units[name].also.includes(wanted));
}

const unitNames = Object.keys(definitions).filter((name): name is Unit => name in definitions);
