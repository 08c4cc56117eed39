// Transactions that say how sure they must be when they return.

import type { DatabaseSync } from "node:sqlite";

/** `soon`: safe from the process's death. `durable`: on the card, safe from the power's too. */
export type Durability = "soon" | "durable";

export interface Transactions {
  /** Runs work in a transaction; an error takes all of it back. */
  run(durability: Durability, work: () => void): void;
  /** Begins one that stays open; no other may be run until it ends. */
  begin(durability: Durability): OpenTransaction;
}

export interface OpenTransaction {
  /** An error takes all of it back. */
  commit(): void;
  rollback(): void;
}

export function transactions(database: DatabaseSync): Transactions {
  let current: Durability | null = null;

  const rollback = () => {
    if (database.isTransaction) database.exec("ROLLBACK"); // SQLite has done it by itself when the disk is full
  };
  const orRollback = (work: () => void) => {
    try {
      work();
    } catch (error) {
      rollback();
      throw error;
    }
  };
  const begin = (durability: Durability): OpenTransaction => {
    if (durability !== current) {
      // With a write-ahead log FULL waits for the card at every commit, NORMAL only when the log is folded in.
      database.exec(`PRAGMA synchronous = ${durability === "durable" ? "FULL" : "NORMAL"}`);
      current = durability;
    }
    database.exec("BEGIN IMMEDIATE");
    return { commit: () => orRollback(() => database.exec("COMMIT")), rollback };
  };

  return {
    begin,
    run(durability, work) {
      const { commit } = begin(durability);
      orRollback(work);
      commit();
    },
  };
}
