// Readings as Parquet, every figure the very one of the record, times in seconds since 1970; and what is derived, as in
// its CSV.

import { type Channel, channels, type Reading } from "../../../analysis/readings/reading.ts";
import { type ParquetColumns, writeParquet } from "./parquet.ts";

/** Columns as in a CSV of readings, but all in SI: no conversion, no rounding. */
const columns = {
  ...{ level_m: "level_m", pumpOn: "pump_on", floatOn: "float_on", pump2On: "pump2_on", float2On: "float2_on" },
  ...{ highFloat: "high_float", pumpCurrent_a: "pump_current_a", pumpPower_w: "pump_power_w", mainsOn: "mains_on" },
  ...{ rain_m: "rain_m", temperature_c: "temperature_c" },
} as const satisfies Record<Channel, string>;

const words: ReadonlySet<string> = new Set([
  ...["inflow_method", "rate_of"],
  ...["kind", "severity", "message", "evidence"],
]);

const contacts: ReadonlySet<Channel> = new Set(["pumpOn", "floatOn", "pump2On", "float2On", "highFloat", "mainsOn"]);

/** A column for every channel, so that files of different years can be read as one. */
export function readingsAsParquet(file: string, readings: Iterable<Reading>): Promise<void> {
  const types = channels.map((channel) => [columns[channel], contacts.has(channel) ? "BOOLEAN" : "DOUBLE"] as const);
  return writeParquet(file, { time_s: "DOUBLE", ...Object.fromEntries(types) }, rows(readings));
}

/** @param lines of CSV, the header first */
export function linesAsParquet(file: string, lines: Iterable<string>): Promise<void> {
  const [header = "", ...rest] = lines;
  const types = header
    .trim()
    .split(",")
    .map((name) => [name, typeOf(name)] as const);
  return writeParquet(file, Object.fromEntries(types), rest);
}

function* rows(readings: Iterable<Reading>): Generator<string> {
  let lines = "";
  for (const reading of readings) {
    lines += exact(reading.time_s);
    for (const channel of channels) lines += `,${cell(reading[channel])}`;
    lines += "\n";
    if (lines.length < 65_536) continue;
    yield lines;
    lines = "";
  }
  yield lines;
}

function cell(value: number | boolean | null): string {
  if (value === null) return "";
  return typeof value === "boolean" ? String(value) : exact(value);
}

/** The shortest decimal that is read as that double again. */
function exact(value: number): string {
  return Object.is(value, -0) ? "-0" : String(value);
}

function typeOf(column: string): ParquetColumns[string] {
  if (column.endsWith("_at") || column === "from" || column === "to") return "TIMESTAMPTZ";
  return words.has(column) ? "VARCHAR" : "DOUBLE";
}
