// What a damaged file still gives, put into a new one in its place: chunks of readings from both ends up to the damage,
// and everything derived that reads.

import { closeSync, fstatSync, ftruncateSync, openSync, readSync } from "node:fs";
import { DatabaseSync } from "node:sqlite";
import { decodeChunk } from "../chunk/chunk.ts";
import { chunkTable } from "./chunk-table.ts";
import { recordTable } from "./record-table.ts";
import { rollups } from "./rollups.ts";
import type { Row } from "./row.ts";

export interface Salvaged {
  readonly readings: number;
  readonly cycles: number;
  readonly findings: number;
}

/** Keys in whose order a table can be read from either end. */
const keys = { chunk: "firstNth", cycle: "startedAt_s", finding: "kind", inflowPart: "part", inflowJoined: "from_s" };

/**
 * @param damaged path of the file that was set aside
 * @param whole   a new database, of the present schema
 */
export function salvage(damaged: string, whole: DatabaseSync): Salvaged {
  const nothing = { readings: 0, cycles: 0, findings: 0 };
  let from: DatabaseSync;
  try {
    lengthen(damaged);
    from = new DatabaseSync(damaged, { readOnly: true });
  } catch {
    return nothing;
  }
  try {
    whole.exec("BEGIN IMMEDIATE");
    const seen = salvageReadings(from, whole);
    const cycles = copyRows(from, whole, "cycle");
    const findings = copyRows(from, whole, "finding");
    for (const table of ["inflowPart", "inflowJoined"] as const) copyRows(from, whole, table);
    salvageCheckpoint(from, whole, seen);
    salvageDropped(from, whole, seen);
    keepName(from, whole);
    whole.exec("COMMIT");
    return { readings: chunkTable(whole).count(), cycles, findings };
  } finally {
    if (whole.isTransaction) whole.exec("ROLLBACK");
    from.close();
  }
}

/** SQLite reads nothing of a file that was cut off: with empty pages in place of the lost ones it reads the others. */
function lengthen(damaged: string): void {
  const file = openSync(damaged, "r+");
  try {
    const header = Buffer.alloc(100);
    readSync(file, header, 0, header.length, 0);
    const page_B = header.readUInt16BE(16);
    const pages = header.readUInt32BE(28);
    const { size } = fstatSync(file);
    if (size < page_B * pages && pages < 1e7) ftruncateSync(file, page_B * pages);
  } finally {
    closeSync(file);
  }
}

/** @returns how many of the first n readings of the damaged record are in the new one */
function salvageReadings(from: DatabaseSync, whole: DatabaseSync): (n: number) => number {
  const chunks = chunkTable(whole);
  const record = recordTable(whole);
  const rolledUp = rollups(whole, chunks);
  const kept: { readonly firstNth: number; readonly count: number }[] = [];
  let next = 1;
  for (const { firstNth, body } of readable(from, "chunk")) {
    if (typeof firstNth !== "number" || !(body instanceof Uint8Array)) continue;
    try {
      const readings = decodeChunk(body);
      record.widen(chunks.put(next, readings, { count: readings.length, bytes: body }));
      for (const [i, { time_s, level_m }] of readings.entries()) rolledUp.add(next + i, time_s, level_m);
      kept.push({ firstNth, count: readings.length });
      next += readings.length;
    } catch (error) {
      if (!(error instanceof RangeError)) throw error; // a chunk that does not read is left out
    }
  }
  rolledUp.write();
  return (n) => kept.reduce((sum, { firstNth, count }) => sum + Math.max(0, Math.min(count, n - firstNth + 1)), 0);
}

function copyRows(from: DatabaseSync, whole: DatabaseSync, table: Exclude<keyof typeof keys, "chunk">): number {
  let copied = 0;
  for (const row of readable(from, table)) {
    const columns = Object.keys(row);
    try {
      whole
        .prepare(`REPLACE INTO ${table} (${columns.join(", ")}) VALUES (${columns.map(() => "?").join(", ")})`)
        .run(...Object.values(row));
      copied++;
    } catch {
      // a row that has become impossible is left out
    }
  }
  return copied;
}

/** The analysis had seen readings that may be gone: it stands where those that are left of them end. */
function salvageCheckpoint(from: DatabaseSync, whole: DatabaseSync, seen: (n: number) => number): void {
  try {
    const row = from.prepare("SELECT readingsSeen, state FROM checkpoint").get();
    if (row === undefined) return;
    whole.prepare("REPLACE INTO checkpoint VALUES (1, ?, ?)").run(seen(Number(row.readingsSeen)), row.state ?? null);
  } catch {
    // everything is derived anew
  }
}

/** Up to where channels are gone, as its readings are counted now. */
function salvageDropped(from: DatabaseSync, whole: DatabaseSync, seen: (n: number) => number): void {
  const put = whole.prepare("REPLACE INTO dropped VALUES (?, ?, ?)");
  for (const { channel, lookedTo, lostTo } of upTo(from, "SELECT * FROM dropped").rows) {
    put.run(channel ?? null, seen(Number(lookedTo)), seen(Number(lostTo)));
  }
}

/** With its name, the new file takes up the recent readings of the old. */
function keepName(from: DatabaseSync, whole: DatabaseSync): void {
  try {
    const row = from.prepare("SELECT store, batches FROM record").get();
    if (row !== undefined)
      whole.prepare("UPDATE record SET store = ?, batches = ?").run(row.store ?? null, row.batches ?? null);
    // How far it has been forwarded is left out: of what has new places, all goes once more.
    const board = from.prepare("SELECT board FROM forward").get()?.board;
    if (board !== undefined) whole.prepare("UPDATE forward SET board = ?").run(board);
  } catch {
    // they count for nothing
  }
}

/** Rows in the order of their keys, from the first up to the damage, then those after it, from the last down to it. */
function readable(from: DatabaseSync, table: keyof typeof keys): Row[] {
  if (table === "finding") return upTo(from, "SELECT * FROM finding ORDER BY kind, from_s").rows;
  const key = keys[table];
  const first = upTo(from, `SELECT * FROM ${table} ORDER BY ${key}`);
  if (first.whole) return first.rows;
  const last = upTo(from, `SELECT * FROM ${table} ORDER BY ${key} DESC`).rows.reverse();
  const end = Number(first.rows.at(-1)?.[key] ?? Number.NEGATIVE_INFINITY);
  return [...first.rows, ...last.filter((row) => Number(row[key]) > end)];
}

function upTo(from: DatabaseSync, query: string): { readonly rows: Row[]; readonly whole: boolean } {
  const rows: Row[] = [];
  try {
    for (const row of from.prepare(query).iterate()) rows.push(row);
    return { rows, whole: true };
  } catch {
    return { rows, whole: false };
  }
}
