// Transactions that say how sure they must be when they return.

import type { DatabaseSync } from "node:sqlite";

/** `soon`: safe from the process's death. `durable`: on the card, safe from the power's too. */
export type Durability = "soon" | "durable";

/** Runs work in a transaction of the wanted durability; an error takes all of it back. */
export function transactions(database: DatabaseSync): (durability: Durability, work: () => void) => void {
  let current: Durability | null = null;
  return (durability, work) => {
    if (durability !== current) {
      // With a write-ahead log FULL waits for the card at every commit, NORMAL only when the log is folded in.
      database.exec(`PRAGMA synchronous = ${durability === "durable" ? "FULL" : "NORMAL"}`);
      current = durability;
    }
    database.exec("BEGIN IMMEDIATE");
    try {
      work();
      database.exec("COMMIT");
    } catch (error) {
      if (database.isTransaction) database.exec("ROLLBACK"); // SQLite has done it by itself when the disk is full
      throw error;
    }
  };
}
