// Rows of a recording in typed arrays, 8 bytes a cell: what waits to be put in order. No reading as an object exists
// until it is given away.

import type { Channel, Reading } from "../../analysis/readings/reading.ts";

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

/** Gives rows [from, to) as readings. */
export function giveReadings(table: RowTable, from: number, to: number, onReading: (reading: Reading) => void): void {
  const column = (channel: Channel) => table.columns[table.channels.indexOf(channel)];
  const { time_ms } = table;
  const level = column("level_m");
  const pump = column("pumpOn");
  const float = column("floatOn");
  const pump2 = column("pump2On");
  const float2 = column("float2On");
  const highFloat = column("highFloat");
  const current = column("pumpCurrent_a");
  const power = column("pumpPower_w");
  const mains = column("mainsOn");
  const rain = column("rain_m");
  const temperature = column("temperature_c");
  for (let row = from; row < to; row++) {
    onReading({
      time_s: (time_ms[row] as number) / 1000,
      level_m: quantity(level, row),
      pumpOn: contact(pump, row),
      floatOn: contact(float, row),
      pump2On: contact(pump2, row),
      float2On: contact(float2, row),
      highFloat: contact(highFloat, row),
      pumpCurrent_a: quantity(current, row),
      pumpPower_w: quantity(power, row),
      mainsOn: contact(mains, row),
      rain_m: quantity(rain, row),
      temperature_c: quantity(temperature, row),
    });
  }
}

function quantity(column: Float64Array | undefined, row: number): number | null {
  if (column === undefined) return null;
  const value = column[row] as number;
  return Number.isNaN(value) ? null : value;
}

function contact(column: Float64Array | undefined, row: number): boolean | null {
  if (column === undefined) return null;
  const value = column[row] as number;
  return Number.isNaN(value) ? null : value !== 0;
}
