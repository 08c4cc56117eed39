// When a copy was put in the record's place, and what the record has nothing of since: rows that are never changed.

import type { DatabaseSync } from "node:sqlite";
import type { PutBack } from "../store.ts";
import { number } from "./row.ts";

export interface PutBackTable {
  /** The last time; null: never. */
  last(): PutBack | null;
  note(putBack: PutBack): void;
}

export function putBackTable(database: DatabaseSync): PutBackTable {
  const last = database.prepare("SELECT at_s, from_s, to_s, aside FROM putBack ORDER BY rowid DESC LIMIT 1");
  const note = database.prepare("INSERT INTO putBack VALUES (?, ?, ?, ?)");
  return {
    last() {
      const row = last.get();
      if (row === undefined) return null;
      const { at_s, from_s, to_s, aside } = row;
      return {
        at_s: number(at_s),
        from_s: number(from_s),
        to_s: number(to_s),
        aside: typeof aside === "string" ? aside : null,
      };
    },
    note: ({ at_s, from_s, to_s, aside }) => {
      note.run(at_s, from_s, to_s, aside);
    },
  };
}
