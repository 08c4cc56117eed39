// A record that turns out damaged at the start: it is put aside under a name with its date, what it still gives goes into
// a new one, and the watch goes on.

import { existsSync, renameSync, rmSync } from "node:fs";
import type { DatabaseSync } from "node:sqlite";
import { asideName } from "../aside-name.ts";
import { StoreError } from "../store-error.ts";
import { chunkTable } from "./chunk-table.ts";
import { faultCode } from "./fault.ts";
import { openDatabase } from "./open-database.ts";
import { recordTable } from "./record-table.ts";
import { salvage } from "./salvage.ts";

/** Opens the database; a damaged one is set aside first. */
export function openOrSalvage(path: string, now_s: number, log: (message: string) => void): DatabaseSync {
  try {
    const database = openDatabase(path);
    try {
      lookInto(database);
      return database;
    } catch (error) {
      database.close();
      throw error;
    }
  } catch (error) {
    if (path === ":memory:" || !isDamage(error)) throw error;
    return inItsPlace(path, now_s, error, log);
  }
}

/** By these a table's first and last row are found without a look at the others, however large the file. */
const keys = {
  ...{ chunk: "firstNth", day: "day", cycle: "startedAt_s", finding: "kind" },
  ...{ inflowPart: "part", inflowJoined: "from_s", checkpoint: "id", forward: "id", dropped: "channel" },
};

/** Where damage shows at once: every table's beginning and end, and the newest readings. */
function lookInto(database: DatabaseSync): void {
  recordTable(database).span();
  const chunks = chunkTable(database);
  chunks.at(chunks.count());
  for (const [table, key] of Object.entries(keys)) {
    for (const order of ["", "DESC"]) database.prepare(`SELECT * FROM ${table} ORDER BY ${key} ${order} LIMIT 1`).get();
  }
}

/** SQLite's "malformed", or what was found in its rows; not "no database at all", which may be anybody's file. */
function isDamage(error: unknown): boolean {
  if (error instanceof StoreError) return error.message.includes("is damaged");
  return error instanceof RangeError || faultCode(error) === 11;
}

function inItsPlace(path: string, now_s: number, error: unknown, log: (message: string) => void): DatabaseSync {
  const aside = asideName(path, "damaged", now_s);
  for (const part of ["", "-wal"]) if (existsSync(path + part)) renameSync(path + part, aside + part);
  rmSync(`${path}-shm`, { force: true });
  const database = openDatabase(path);
  const { readings, cycles, findings } = salvage(aside, database);
  rmSync(`${aside}-shm`, { force: true });
  const message = error instanceof Error ? error.message : String(error);
  log(
    `store: ${message.replaceAll(/\s*\n\s*/g, " ")}. It stands aside as ${aside}; ` +
      `${readings} readings, ${cycles} cycles and ${findings} findings were read from it, and the watch goes on`,
  );
  return database;
}
