// Rows of a recording in typed arrays, 8 bytes a cell: what waits to be put in order. No reading as an object exists
// until it is asked for.

import { type Channel, type Reading, silentReading } from "../../analysis/readings/reading.ts";

export interface RowTable {
  length: number;
  readonly capacity: number;
  /** ms since 1970. */
  readonly time_ms: Float64Array;
  /** SI, contacts as 1 and 0; NaN is 'no reading'. */
  readonly columns: readonly Float64Array[];
  readonly channels: readonly Channel[];
}

export function rowTable(channels: readonly Channel[], capacity: number): RowTable {
  return {
    length: 0,
    capacity,
    time_ms: new Float64Array(capacity),
    columns: channels.map(() => new Float64Array(capacity)),
    channels,
  };
}

/** The same rows with room for more. */
export function grown(table: RowTable, capacity: number): RowTable {
  const larger = rowTable(table.channels, capacity);
  larger.time_ms.set(table.time_ms);
  larger.columns.forEach((column, at) => {
    const old = table.columns[at];
    if (old) column.set(old);
  });
  larger.length = table.length;
  return larger;
}

/** Moves rows [from, to) to where `target` is. */
export function moveRows(table: RowTable, target: number, from: number, to: number): void {
  if (target === from) return;
  table.time_ms.copyWithin(target, from, to);
  for (const column of table.columns) column.copyWithin(target, from, to);
}

/** Takes rows [from, to) of a table that is used again afterwards. */
export type RowSink = (table: RowTable, from: number, to: number) => void;

/** Gives rows [from, to) as readings, each of them an object of its own. */
export function giveReadings(table: RowTable, from: number, to: number, onReading: (reading: Reading) => void): void {
  lendReadings(table, from, to, (reading) => onReading({ ...reading }));
}

/** Shows rows [from, to) in one reading that changes from row to row, to whoever keeps none. */
export function lendReadings(table: RowTable, from: number, to: number, onReading: (reading: Reading) => void): void {
  const reading: { -readonly [Key in keyof Reading]: Reading[Key] } = { ...silentReading };
  const level = columnOf(table, "level_m");
  const pump = columnOf(table, "pumpOn");
  const float = columnOf(table, "floatOn");
  const pump2 = columnOf(table, "pump2On");
  const float2 = columnOf(table, "float2On");
  const highFloat = columnOf(table, "highFloat");
  const current = columnOf(table, "pumpCurrent_a");
  const power = columnOf(table, "pumpPower_w");
  const mains = columnOf(table, "mainsOn");
  const rain = columnOf(table, "rain_m");
  const temperature = columnOf(table, "temperature_c");
  for (let row = from; row < to; row++) {
    reading.time_s = (table.time_ms[row] as number) / 1000;
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
    onReading(reading);
  }
}

function columnOf(table: RowTable, channel: Channel): Float64Array | null {
  return table.columns[table.channels.indexOf(channel)] ?? null;
}

function quantity(column: Float64Array, row: number): number | null {
  const value = column[row] as number;
  return Number.isNaN(value) ? null : value;
}

function contact(column: Float64Array, row: number): boolean | null {
  const value = column[row] as number;
  return Number.isNaN(value) ? null : value !== 0;
}
