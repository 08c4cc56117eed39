// The `recording` group of the site file: how to read a file that another logger wrote.

import * as z from "zod";
import { evenIfIncomplete, has, report } from "../cross-check.ts";
import type { RecordingConfig } from "../site-file.ts";
import { timeZone } from "../time-zone.ts";

/** Every column of the contract. */
export const recordingColumns = [
  "time",
  "time_ms",
  "level_mm",
  "level_cm",
  "level_m",
  "level_in",
  "level_ft",
  "pump_on",
  "float_on",
  "pump2_on",
  "float2_on",
  "high_float",
  "pump_current_a",
  "pump_power_w",
  "mains_on",
  "rain_mm",
  "rain_in",
  "temperature_c",
] as const;

const columnName = z.string().min(1);

const columns = z
  .strictObject({
    time: columnName.optional().describe("the logger's column of times, as text"),
    time_ms: columnName.optional().describe("the logger's column of milliseconds since 1970 UTC"),
    level_mm: columnName.optional().describe("its column of levels, in millimetres"),
    level_cm: columnName.optional().describe("the same, in centimetres"),
    level_m: columnName.optional().describe("the same, in metres"),
    level_in: columnName.optional().describe("the same, in inches"),
    level_ft: columnName.optional().describe("the same, in feet"),
    pump_on: columnName.optional().describe("its column that is 1 while the pump's motor runs"),
    float_on: columnName.optional().describe("its column that is 1 while the pump's float calls for pumping"),
    pump2_on: columnName.optional().describe("its column that is 1 while the second pump's motor runs"),
    float2_on: columnName.optional().describe("its column that is 1 while the second pump's float calls for pumping"),
    high_float: columnName.optional().describe("its column that is 1 while the high-water float is lifted"),
    pump_current_a: columnName.optional().describe("its column of the motor's current, in amperes"),
    pump_power_w: columnName.optional().describe("its column of the motor's power, in watts"),
    mains_on: columnName.optional().describe("its column that is 1 while the supply is present"),
    rain_mm: columnName.optional().describe("its column of rain since the row before, in millimetres"),
    rain_in: columnName.optional().describe("the same, in inches"),
    temperature_c: columnName.optional().describe("its column of temperatures, in °C"),
  } satisfies Record<(typeof recordingColumns)[number], z.ZodType>)
  .superRefine(checkOneOfAKind, evenIfIncomplete);

export const recordingSchema = z.strictObject({
  columns: columns.prefault({}),
  timezone: timeZone.optional().describe("time zone of stamps without an offset; without it, such stamps are an error"),
  missing: z.array(z.string()).default([]).describe("texts that mean 'no reading', beside the empty cell"),
});

export function toRecordingConfig(recording: z.output<typeof recordingSchema>): RecordingConfig {
  const named = Object.entries(recording.columns).filter((entry): entry is [string, string] => entry[1] !== undefined);
  return { columns: Object.fromEntries(named), timezone: recording.timezone ?? null, missing: recording.missing };
}

function checkOneOfAKind(columns: unknown, context: z.core.$RefinementCtx): void {
  for (const beginning of ["time", "level_", "rain_"]) {
    const given = recordingColumns.filter((name) => name.startsWith(beginning) && has(columns, name));
    const [first, second] = given;
    if (second !== undefined) report(context, [second], `expected only one of ${given.join(", ")}, found ${first} too`);
  }
}
