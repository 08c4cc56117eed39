// A record as it stands, read while a daemon may be writing it: the database, and the recent ones that it does not have.

import type { DatabaseSync } from "node:sqlite";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { decodeChunk } from "../chunk/chunk.ts";
import { openSlotsToRead } from "../recent/recent.ts";
import { cycleTable } from "./cycle-table.ts";
import { openToRead } from "./upkeep.ts";

export interface OpenRecord {
  /** In the order in which they were appended. */
  readings(): Iterable<Reading>;
  /** Oldest first. */
  cycles(): Iterable<Cycle>;
  close(): void;
}

/** @throws {StoreError} in one sentence when it is no record that this program can read */
export function readRecord(path: string): OpenRecord {
  // First: what they hold and the database does not have yet is then in one of the two.
  const database = openToRead(path);
  const { store, batches } = nameOf(database);
  const kept = openSlotsToRead(path, store);
  return {
    *readings() {
      let next = 1;
      for (const row of database.prepare("SELECT firstNth, body FROM chunk ORDER BY firstNth").iterate()) {
        const readings = row.body instanceof Uint8Array ? decodeChunk(row.body) : [];
        next = Number(row.firstNth) + readings.length;
        yield* readings;
      }
      for (const { firstNth, readings } of kept) {
        const fresh = readings.slice(Math.max(0, next - firstNth));
        next += fresh.length;
        yield* fresh;
      }
    },
    *cycles() {
      const recent = new Map(
        kept
          .filter(({ sequence }) => sequence > batches)
          .flatMap((batch) => batch.cycles)
          .map((cycle) => [cycle.startedAt_s, cycle]),
      );
      const all = { from_s: Number.NEGATIVE_INFINITY, to_s: Number.POSITIVE_INFINITY };
      for (const cycle of cycleTable(database).within(all, 1e9).reverse()) {
        if (!recent.has(cycle.startedAt_s)) yield cycle;
      }
      yield* recent.values();
    },
    close: () => database.close(),
  };
}

function nameOf(database: DatabaseSync): { readonly store: string; readonly batches: number } {
  const row = database.prepare("SELECT store, batches FROM record").get();
  return { store: String(row?.store), batches: Number(row?.batches) };
}
