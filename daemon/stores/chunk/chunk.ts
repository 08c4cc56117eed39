// Readings in a row as one chunk of bytes, and again: bit for bit, whatever they are. Channels stand one after another,
// time and level first, so that a chart of the level reads no more than these two.

import type { Reading } from "../../../analysis/readings/reading.ts";
import { type ByteReader, byteReader, byteWriter } from "./bytes.ts";
import { type Columns, columnsOf, numberChannels, readingsOf, switchChannels } from "./columns.ts";
import { readNumbers, writeNumbers } from "./number-column.ts";
import { readSwitches, writeSwitches } from "./switch-column.ts";

/** Of the chunk's layout; another layout gets another number, and this one is still read. */
const layout = 1;

export function encodeChunk(readings: readonly Reading[]): Uint8Array {
  return encodeColumns(columnsOf(readings));
}

export function encodeColumns({ count, time_s, numbers, switches }: Columns): Uint8Array {
  const out = byteWriter(8192);
  out.varint(layout);
  out.varint(count);
  writeNumbers(out, { values: time_s, present: null });
  for (const column of numbers) writeNumbers(out, column);
  for (const column of switches) writeSwitches(out, column);
  return out.written().slice();
}

/** @throws {RangeError} when these are not the bytes of a chunk */
export function decodeChunk(bytes: Uint8Array): Reading[] {
  const from = byteReader(bytes);
  const count = countIn(from);
  return readingsOf({
    count,
    time_s: readTimes(from, count),
    numbers: numberChannels.map(() => readNumbers(from, count)),
    switches: switchChannels.map(() => readSwitches(from, count)),
  });
}

/** Time and level alone, NaN where it was not read; null when it never was. */
export function decodeLevels(bytes: Uint8Array): { time_s: Float64Array; level_m: Float64Array | null } {
  const from = byteReader(bytes);
  const count = countIn(from);
  return { time_s: readTimes(from, count), level_m: readNumbers(from, count)?.values ?? null };
}

export function countIn(from: ByteReader): number {
  const found = from.varint();
  if (found !== layout) throw new RangeError(`a chunk has layout ${found}; expected ${layout}; it is damaged`);
  return from.varint();
}

function readTimes(from: ByteReader, count: number): Float64Array {
  return readNumbers(from, count)?.values ?? new Float64Array();
}
