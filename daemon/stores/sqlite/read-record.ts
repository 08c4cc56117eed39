// A record as it stands, read while a daemon may be writing it: the database, and the recent ones that it does not have.

import type { DatabaseSync } from "node:sqlite";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { decodeChunk } from "../chunk/chunk.ts";
import { openSlotsToRead } from "../recent/recent.ts";
import { cycleTable } from "./cycle-table.ts";
import { findingTable } from "./finding-table.ts";
import { inflowTable } from "./inflow-table.ts";
import { openToRead } from "./open-to-read.ts";

export interface OpenRecord {
  /** In the order in which they were appended. */
  readings(): Iterable<Reading>;
  /** Those that the database does not have yet. */
  recent(): Iterable<Reading>;
  /** Oldest first. */
  cycles(): Iterable<Cycle>;
  findings(): Iterable<Finding>;
  /** Single stretches, and before the first of those, joined ones by ten minutes. */
  inflow(): Iterable<InflowStretch>;
  close(): void;
}

const all = { from_s: Number.NEGATIVE_INFINITY, to_s: Number.POSITIVE_INFINITY };
const most = 1e9;

/** @throws {StoreError} in one sentence when it is no record that this program can read */
export function readRecord(path: string): OpenRecord {
  // First: what they hold and the database does not have yet is then in one of the two.
  const database = openToRead(path);
  const { store, batches } = nameOf(database);
  const kept = openSlotsToRead(path, store);
  const fresh = kept.filter(({ sequence }) => sequence > batches);
  function* from(nth: number): Generator<Reading> {
    let next = nth;
    for (const { firstNth, readings } of kept) {
      const after = readings.slice(Math.max(0, next - firstNth));
      next += after.length;
      yield* after;
    }
  }
  return {
    *readings() {
      let next = 1;
      for (const row of database.prepare("SELECT firstNth, body FROM chunk ORDER BY firstNth").iterate()) {
        const readings = row.body instanceof Uint8Array ? decodeChunk(row.body) : [];
        next = Number(row.firstNth) + readings.length;
        yield* readings;
      }
      yield* from(next);
    },
    recent: () => from(Number(database.prepare("SELECT max(firstNth + readings) AS next FROM chunk").get()?.next ?? 1)),
    cycles: () => {
      const recent = fresh.flatMap((batch) => batch.cycles);
      return withRecent(cycleTable(database).within(all, most).reverse(), recent, (cycle) => cycle.startedAt_s);
    },
    findings: () => {
      const recent = fresh.flatMap((batch) => batch.findings);
      const rows = findingTable(database).within(all, most).reverse();
      return withRecent(rows, recent, ({ kind, from_s }) => `${kind} ${from_s}`);
    },
    inflow: () => inflowTable(database).within(all, most),
    close: () => database.close(),
  };
}

/** When a record ends, what its database does not have yet counted in; null: never, or it cannot be read. */
export function endOf(path: string): number | null {
  try {
    using database = openToRead(path);
    const end_s = database.prepare("SELECT to_s FROM record").get()?.to_s;
    const kept = openSlotsToRead(path, nameOf(database).store).flatMap(({ readings }) => readings);
    const times_s = kept.map(({ time_s }) => time_s);
    return [...times_s, ...(typeof end_s === "number" ? [end_s] : [])].reduce(later, null);
  } catch {
    return null;
  }
}

function later(one: number | null, other_s: number): number {
  return one === null ? other_s : Math.max(one, other_s);
}

/** Each as it was saved last, in the order of its first coming. */
function withRecent<T>(rows: readonly T[], recent: readonly T[], keyOf: (item: T) => number | string): Iterable<T> {
  const all = new Map(rows.map((row) => [keyOf(row), row]));
  for (const item of recent) all.set(keyOf(item), item);
  return all.values();
}

function nameOf(database: DatabaseSync): { readonly store: string; readonly batches: number } {
  const row = database.prepare("SELECT store, batches FROM record").get();
  return { store: String(row?.store), batches: Number(row?.batches) };
}
