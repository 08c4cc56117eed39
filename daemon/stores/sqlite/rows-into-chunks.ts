// The step from a row for each reading to chunks of them: some thousand readings at a time, each lot in a transaction of
// its own that takes the rows away, so that it is bounded in memory and goes on where it was cut off.

import type { DatabaseSync } from "node:sqlite";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { encodeChunk } from "../chunk/chunk.ts";
import { type Cutter, cutter } from "../chunk/cutter.ts";
import { chunkTable } from "./chunk-table.ts";
import { recordTable } from "./record-table.ts";
import { rollups } from "./rollups.ts";
import { number, numberOrNull, type Row } from "./row.ts";

const lot = 50_000;

/** @param version that the file then has */
export function rowsIntoChunks(database: DatabaseSync, version: number): void {
  while (moveSome(database, version));
}

/** @returns whether there may be more */
function moveSome(database: DatabaseSync, version: number): boolean {
  const rows = database.prepare("SELECT * FROM reading ORDER BY nth LIMIT ?", { returnArrays: true }).all(lot);
  database.exec("BEGIN IMMEDIATE");
  try {
    if (rows.length === 0) {
      database.exec(`DROP TABLE reading; DROP TABLE minute; DROP TABLE hour; DROP TABLE rolledUp;
        PRAGMA user_version = ${version}`);
    } else {
      const moved = move(database, rows.map(readingOf), rows.length < lot);
      database.prepare("DELETE FROM reading WHERE nth <= ?").run(number(rows[moved - 1]?.[0]));
    }
    database.exec("COMMIT");
  } catch (error) {
    if (database.isTransaction) database.exec("ROLLBACK");
    throw error;
  }
  return rows.length > 0;
}

/** @returns how many of them, from the first on, stand in chunks now: all of the last lot, else those that fill some */
function move(database: DatabaseSync, readings: readonly Reading[], isLast: boolean): number {
  const chunks = chunkTable(database);
  const record = recordTable(database);
  const rolledUp = rollups(database, chunks);
  const cut = cutter();
  const before = chunks.count();
  let moved = 0;
  while (moved < readings.length) {
    const some = readings.slice(moved);
    const chunk = nextChunk(cut, some, isLast);
    if (chunk === null) break;
    record.widen(chunks.put(before + moved + 1, some, chunk));
    for (const [i, { time_s, level_m }] of some.slice(0, chunk.count).entries()) {
      rolledUp.add(before + moved + i + 1, time_s, level_m);
    }
    moved += chunk.count;
  }
  rolledUp.write();
  return moved;
}

function nextChunk(cut: Cutter, some: readonly Reading[], isLast: boolean) {
  return (
    cut.cut(some.length, (count) => encodeChunk(some.slice(0, count))) ??
    (isLast ? { count: some.length, bytes: encodeChunk(some) } : null)
  );
}

/** `switches` are digits to the base 3, as the steps that made them say. */
function readingOf(row: Row): Reading {
  const switches = number(row[3]);
  return {
    time_s: number(row[1]),
    level_m: numberOrNull(row[2]),
    pumpOn: switchOf(switches, 27),
    floatOn: switchOf(switches, 9),
    pump2On: switchOf(switches, 243),
    float2On: switchOf(switches, 81),
    highFloat: switchOf(switches, 3),
    pumpCurrent_a: numberOrNull(row[6]),
    pumpPower_w: numberOrNull(row[7]),
    mainsOn: switchOf(switches, 1),
    rain_m: numberOrNull(row[4]),
    temperature_c: numberOrNull(row[5]),
  };
}

function switchOf(switches: number, place: number): boolean | null {
  const found = Math.floor(switches / place) % 3;
  return found === 0 ? null : found === 2;
}
