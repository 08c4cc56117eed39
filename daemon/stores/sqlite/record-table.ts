// The one row about the record as a whole.

import type { DatabaseSync } from "node:sqlite";
import type { Span } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { number, numberOrNull } from "./row.ts";

export interface RecordTable {
  /** The store's name: sixteen hexadecimal digits of its own. */
  store(): string;
  /** First and last time among the readings in chunks; null when there are none. */
  span(): Span | null;
  widen(span: Span): void;
  /** Up to which batch of the recent ones everything derived is in the database. */
  batches(): number;
  setBatches(sequence: number): void;
}

export function recordTable(database: DatabaseSync): RecordTable {
  const arrays = { returnArrays: true };
  const get = database.prepare("SELECT store, from_s, to_s, batches FROM record", arrays);
  const widen = database.prepare(
    "UPDATE record SET from_s = min(ifnull(from_s, ?1), ?1), to_s = max(ifnull(to_s, ?2), ?2)",
  );
  const setBatches = database.prepare("UPDATE record SET batches = ?");
  const row = () => {
    const found = get.get();
    if (found === undefined) throw new StoreError("the store has lost the row about its record; the file is damaged");
    return found;
  };

  return {
    store: () => String(row()[0]),
    span() {
      const found = row();
      const from_s = numberOrNull(found[1]);
      return from_s === null ? null : { from_s, to_s: number(found[2]) };
    },
    widen: ({ from_s, to_s }) => {
      widen.run(from_s, to_s);
    },
    batches: () => number(row()[3]),
    setBatches: (sequence) => {
      setBatches.run(sequence);
    },
  };
}
