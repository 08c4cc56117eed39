// A record's database as one file, without a log beside it.

import { DatabaseSync } from "node:sqlite";

/** Stays one also while it is read; on the card when it returns. */
export function asOneFile(path: string): void {
  const database = new DatabaseSync(path);
  try {
    database.exec("PRAGMA synchronous = FULL; PRAGMA journal_mode = DELETE");
  } finally {
    database.close();
  }
}
