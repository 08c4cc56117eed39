// Readings in columns, as a recording is read: no reading as an object exists until it is asked for.

import { type Channel, type Reading, silentReading } from "./reading.ts";

export interface ReadingRows {
  /** ms since 1970. */
  readonly time_ms: Float64Array;
  /** SI, contacts as 1 and 0; NaN is 'no reading'. In the order of `channels`. */
  readonly columns: readonly Float64Array[];
  readonly channels: readonly Channel[];
}

/** Shows one row after the other in one reading that changes from row to row, to whoever keeps none. */
export function readerOf(rows: ReadingRows): (row: number) => Reading {
  const reading: { -readonly [Key in keyof Reading]: Reading[Key] } = { ...silentReading };
  const level = columnOf(rows, "level_m");
  const pump = columnOf(rows, "pumpOn");
  const float = columnOf(rows, "floatOn");
  const pump2 = columnOf(rows, "pump2On");
  const float2 = columnOf(rows, "float2On");
  const highFloat = columnOf(rows, "highFloat");
  const current = columnOf(rows, "pumpCurrent_a");
  const power = columnOf(rows, "pumpPower_w");
  const mains = columnOf(rows, "mainsOn");
  const rain = columnOf(rows, "rain_m");
  const temperature = columnOf(rows, "temperature_c");
  return (row) => {
    reading.time_s = (rows.time_ms[row] as number) / 1000;
    if (level !== null) reading.level_m = quantity(level, row);
    if (pump !== null) reading.pumpOn = contact(pump, row);
    if (float !== null) reading.floatOn = contact(float, row);
    if (pump2 !== null) reading.pump2On = contact(pump2, row);
    if (float2 !== null) reading.float2On = contact(float2, row);
    if (highFloat !== null) reading.highFloat = contact(highFloat, row);
    if (current !== null) reading.pumpCurrent_a = quantity(current, row);
    if (power !== null) reading.pumpPower_w = quantity(power, row);
    if (mains !== null) reading.mainsOn = contact(mains, row);
    if (rain !== null) reading.rain_m = quantity(rain, row);
    if (temperature !== null) reading.temperature_c = quantity(temperature, row);
    return reading;
  };
}

export function columnOf({ columns, channels }: ReadingRows, channel: Channel): Float64Array | null {
  return columns[channels.indexOf(channel)] ?? null;
}

function quantity(column: Float64Array, row: number): number | null {
  const value = column[row] as number;
  return Number.isNaN(value) ? null : value;
}

function contact(column: Float64Array, row: number): boolean | null {
  const value = column[row] as number;
  return Number.isNaN(value) ? null : value !== 0;
}
