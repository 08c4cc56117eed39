// The step from a row for each stretch of inflow to rows for ten minutes of them, some thousand at a time, each lot in a
// transaction of its own: bounded in memory, and taken up again where it was cut off.

import type { DatabaseSync } from "node:sqlite";
import { inflowParts } from "./inflow-parts.ts";
import { number } from "./row.ts";

const lot = 20_000;

/** @param version that the file then has */
export function inflowIntoParts(database: DatabaseSync, version: number): void {
  database.exec("CREATE TABLE IF NOT EXISTS inflowPart (part INTEGER PRIMARY KEY, body BLOB NOT NULL) STRICT");
  while (moveSome(database, version));
}

/** @returns whether there may be more */
function moveSome(database: DatabaseSync, version: number): boolean {
  const rows = database.prepare("SELECT * FROM inflow ORDER BY from_s LIMIT ?", { returnArrays: true }).all(lot);
  const parts = inflowParts(database);
  database.exec("BEGIN IMMEDIATE");
  try {
    for (const row of rows) {
      const [from_s, to_s] = [number(row[0]), number(row[1])];
      parts.put({ from_s, to_s, inflow_m3s: number(row[2]), uInflow_m3s: number(row[3]) });
    }
    parts.write();
    if (rows.length === 0) database.exec(`DROP TABLE inflow; PRAGMA user_version = ${version}`);
    else database.prepare("DELETE FROM inflow WHERE from_s <= ?").run(number(rows.at(-1)?.[0]));
    database.exec("COMMIT");
  } catch (error) {
    if (database.isTransaction) database.exec("ROLLBACK");
    throw error;
  }
  return rows.length > 0;
}
