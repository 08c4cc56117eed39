// Stretches of inflow by ten minutes of time, each part's as one row: a third of the room of a row for each stretch.

import type { DatabaseSync } from "node:sqlite";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import { byteReader, byteWriter } from "../chunk/bytes.ts";
import { readNumbers, writeNumbers } from "../chunk/number-column.ts";
import { StoreError } from "../store-error.ts";
import { numberOrNull, type Row } from "./row.ts";

export const part_s = 600;

export interface InflowParts {
  /** Replaces one of the same beginning; in the file once `write` is called. */
  put(stretch: InflowStretch): void;
  /** Inside the transaction that is to have what was put. */
  write(): void;
  /** Forgets what was put and not written. */
  revert(): void;
  /** Drops that part and those after it. */
  clear(from: number): void;
  /** Drops parts that end before it, the oldest first, some at a time. */
  dropBefore(time_s: number): void;
  first_s(): number | null;
  last_s(): number | null;
  /** Those that begin in parts `from` to before `to`, oldest first; of what is written. */
  beginningIn(from: number, to: number): InflowStretch[];
  /** Those that overlap the span, oldest first; of what is written. */
  overlapping(from_s: number, to_s: number): InflowStretch[];
}

/** Parts with something new in them that are kept until they are written. */
const mostOpen = 16;

export function inflowParts(database: DatabaseSync): InflowParts {
  const arrays = { returnArrays: true };
  const get = database.prepare("SELECT body FROM inflowPart WHERE part = ?", arrays);
  const put = database.prepare("REPLACE INTO inflowPart VALUES (?, ?)");
  const clear = database.prepare("DELETE FROM inflowPart WHERE part >= ?");
  const first = database.prepare("SELECT body FROM inflowPart ORDER BY part LIMIT 1", arrays);
  const last = database.prepare("SELECT body FROM inflowPart ORDER BY part DESC LIMIT 1", arrays);
  const before = database.prepare("SELECT max(part) FROM inflowPart WHERE part < ?", arrays);
  const among = database.prepare("SELECT body FROM inflowPart WHERE part >= ? AND part < ? ORDER BY part", arrays);
  const drop = database.prepare(
    "DELETE FROM inflowPart WHERE part IN (SELECT part FROM inflowPart WHERE part < ? ORDER BY part LIMIT 500)",
  );
  const open = new Map<number, Map<number, InflowStretch>>();

  const openPart = (part: number) => {
    const found = open.get(part) ?? new Map(stretchesIn(get.get(part)).map((stretch) => [stretch.from_s, stretch]));
    open.set(part, found);
    return found;
  };
  const write = () => {
    for (const [part, stretches] of open) put.run(part, bodyOf([...stretches.values()]));
    open.clear();
  };
  const beginningIn = (from: number, to: number) => among.all(clamped(from), clamped(to)).flatMap(stretchesIn);

  return {
    put(stretch) {
      openPart(Math.floor(stretch.from_s / part_s)).set(stretch.from_s, stretch);
      if (open.size > mostOpen) write();
    },
    write,
    revert: () => open.clear(),
    clear(from) {
      clear.run(clamped(from));
      open.clear();
    },
    dropBefore: (time_s) => {
      drop.run(clamped(Math.floor(time_s / part_s)));
    },
    first_s: () => stretchesIn(first.get())[0]?.from_s ?? null,
    last_s: () => stretchesIn(last.get()).at(-1)?.from_s ?? null,
    beginningIn,
    overlapping(from_s, to_s) {
      // None lies over another: of those that begin before the span's first part, only the last can reach into it.
      const part = clamped(Math.floor(from_s / part_s));
      const begin = numberOrNull(before.get(part)?.[0]) ?? part;
      const found = beginningIn(begin, Math.floor(to_s / part_s) + 1);
      return found.filter((stretch) => stretch.from_s <= to_s && stretch.to_s >= from_s);
    },
  };
}

/** Columns one after another: how many, beginnings, lengths, inflows, uncertainties. */
function bodyOf(stretches: InflowStretch[]): Uint8Array {
  const sorted = stretches.sort((a, b) => a.from_s - b.from_s);
  const out = byteWriter(1024);
  out.varint(sorted.length);
  for (const column of [
    sorted.map((stretch) => stretch.from_s),
    sorted.map((stretch) => stretch.to_s),
    sorted.map((stretch) => stretch.inflow_m3s),
    sorted.map((stretch) => stretch.uInflow_m3s),
  ]) {
    writeNumbers(out, { values: Float64Array.from(column), present: null });
  }
  return out.written().slice();
}

function stretchesIn(row: Row | undefined): InflowStretch[] {
  if (row === undefined) return [];
  const [body] = Object.values(row);
  if (!(body instanceof Uint8Array)) throw new StoreError("the store holds inflow without a body; the file is damaged");
  const from = byteReader(body);
  const count = from.varint();
  const [from_s, to_s, inflow_m3s, uInflow_m3s] = Array.from({ length: 4 }, () => readNumbers(from, count)?.values);
  return Array.from({ length: count }, (_, i) => ({
    from_s: from_s?.[i] ?? Number.NaN,
    to_s: to_s?.[i] ?? Number.NaN,
    inflow_m3s: inflow_m3s?.[i] ?? Number.NaN,
    uInflow_m3s: uInflow_m3s?.[i] ?? Number.NaN,
  }));
}

/** SQLite's whole numbers have an end, and no infinity. */
function clamped(part: number): number {
  return Math.max(-1e15, Math.min(1e15, part));
}
