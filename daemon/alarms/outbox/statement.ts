// What is done to the outbox' databases, as text and values: the same can be done to two, and kept before it is done.

import type { DatabaseSync, StatementSync } from "node:sqlite";
import * as z from "zod";

export type Statement = readonly [sql: string, ...values: (string | number | null)[]];

/** As kept on the card. */
export const keptStatements = z.array(z.tuple([z.string()], z.union([z.string(), z.number(), z.null()])));

/** Of one database: each statement is made ready once, for that takes longer than to run it. */
export function prepared(database: DatabaseSync): (sql: string) => StatementSync {
  const ready = new Map<string, StatementSync>();
  return (sql) => {
    const known = ready.get(sql);
    if (known !== undefined) return known;
    const made = database.prepare(sql);
    ready.set(sql, made);
    return made;
  };
}

/** Does all of it or nothing. */
export function inOne(database: DatabaseSync, work: () => void): void {
  database.exec("BEGIN IMMEDIATE");
  try {
    work();
    database.exec("COMMIT");
  } catch (error) {
    // A card that is full has ended it already.
    if (database.isTransaction) database.exec("ROLLBACK");
    throw error;
  }
}

export function run(ready: (sql: string) => StatementSync, statements: readonly Statement[]): void {
  for (const [sql, ...values] of statements) ready(sql).run(...values);
}
