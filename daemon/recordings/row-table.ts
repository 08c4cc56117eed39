// Rows of a recording in typed arrays, 8 bytes a cell: what waits to be put in order. No reading as an object exists
// until it is asked for.

import type { Channel, Reading } from "../../analysis/readings/reading.ts";
import { type ReadingRows, readerOf } from "../../analysis/readings/reading-rows.ts";

export interface RowTable extends ReadingRows {
  length: number;
  readonly capacity: number;
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
  const read = readerOf(table);
  for (let row = from; row < to; row++) onReading({ ...read(row) });
}
