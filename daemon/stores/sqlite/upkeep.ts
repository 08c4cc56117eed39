// What is done with a record by hand: look through it, make it smaller, copy it while it is written to, put a copy back.

import { copyFileSync, existsSync, renameSync, rmSync, statSync } from "node:fs";
import { basename } from "node:path";
import { backup, DatabaseSync } from "node:sqlite";
import { decodeChunk } from "../chunk/chunk.ts";
import { openSqliteStore } from "../sqlite-store.ts";
import { StoreError } from "../store-error.ts";
import { faultInWords } from "./fault.ts";
import { lockStore } from "./lock.ts";
import { openDatabase } from "./open-database.ts";
import { openToRead, refuseMissing } from "./open-to-read.ts";
import { putBackTable } from "./put-back-table.ts";
import { endOf } from "./read-record.ts";

export interface Checked {
  readonly size_B: number;
  readonly readings: number;
  readonly from_s: number | null;
  readonly to_s: number | null;
  readonly cycles: number;
  readonly findings: number;
  /** What is wrong, in a line each; none when the record is whole. */
  readonly faults: readonly string[];
}

/** Reads all of a record, also while a daemon writes it; what is still outside the database is not looked at. */
export function checkRecord(path: string): Checked {
  const database = openToRead(path);
  const faults: string[] = [];
  const of = (query: string): number | null => {
    try {
      const value = database.prepare(query).get()?.n;
      return typeof value === "number" ? value : null;
    } catch (error) {
      faults.push(faultInWords(error) ?? String(error));
      return null;
    }
  };
  try {
    faults.push(...integrity(database));
    const readings = readThrough(database, faults);
    return {
      // With what is still in the log: while a daemon runs, that may be nearly all.
      size_B: of("SELECT page_count * page_size AS n FROM pragma_page_count, pragma_page_size") ?? statSync(path).size,
      readings,
      from_s: of("SELECT from_s AS n FROM record"),
      to_s: of("SELECT to_s AS n FROM record"),
      cycles: of("SELECT count(*) AS n FROM cycle") ?? 0,
      findings: of("SELECT count(*) AS n FROM finding") ?? 0,
      faults: [...new Set(faults)],
    };
  } finally {
    database.close();
  }
}

/** Gives unused room back to the disk; the daemon must not be running. Returns the sizes before and after. */
export function compactRecord(path: string): { readonly before_B: number; readonly after_B: number } {
  refuseMissing(path);
  openSqliteStore(path).close(); // what stands outside the database goes into it
  const lock = lockStore(path);
  try {
    const before_B = statSync(path).size;
    const database = openDatabase(path);
    database.exec("VACUUM; PRAGMA wal_checkpoint(TRUNCATE)");
    database.close();
    return { before_B, after_B: statSync(path).size };
  } finally {
    lock.release();
  }
}

/**
 * Copies the record into a single file, also while a daemon writes it: everything up to the last minute, and with every
 * cycle. The copy is checked.
 */
export async function backupRecord(path: string, copy: string): Promise<Checked> {
  const source = openToRead(path);
  if (existsSync(copy)) throw new StoreError(`${copy} is there already; expected the name of a new file`);
  try {
    // First: what it holds and the database does not is then in one of the two.
    if (existsSync(`${path}.recent`)) copyFileSync(`${path}.recent`, `${copy}.recent`);
    await backup(source, copy);
    openSqliteStore(copy).close(); // takes in the recent ones
    asOneFile(copy);
    const checked = checkRecord(copy);
    if (checked.faults.length > 0) throw new StoreError(`${copy}: the copy is not whole: ${checked.faults.join("; ")}`);
    return checked;
  } catch (error) {
    rmSync(copy, { force: true });
    throw error;
  } finally {
    source.close();
    for (const part of [".recent", ".lock", "-wal", "-shm"]) rmSync(copy + part, { force: true });
  }
}

/** Puts a copy in the record's place, once it has proved whole; what was there is set aside, under the returned name. */
export function restoreRecord(path: string, copy: string, now_s: number): { checked: Checked; aside: string | null } {
  const checked = checkRecord(copy);
  if (checked.faults.length > 0) throw new StoreError(`${copy} is not whole: ${checked.faults.join("; ")}`);
  const lock = lockStore(path);
  try {
    const aside = existsSync(path)
      ? `${path}.before-${new Date(now_s * 1000).toISOString().replaceAll(":", "-").slice(0, 19)}`
      : null;
    for (const part of ["", "-wal", ".recent"]) {
      if (aside !== null && existsSync(path + part)) renameSync(path + part, aside + part);
    }
    for (const part of ["-shm", ".recent", ".seconds"]) rmSync(path + part, { force: true });
    copyFileSync(copy, path);
    const database = openDatabase(path);
    // With a name of its own it takes up nothing that another life of this record left.
    database.exec("UPDATE record SET store = lower(hex(randomblob(8))), batches = 0");
    const from_s = checked.to_s;
    const to_s = aside === null ? now_s : (endOf(aside) ?? now_s);
    // A copy that goes further than what was there has all of it.
    if (from_s !== null && to_s > from_s) {
      putBackTable(database).note({ at_s: now_s, from_s, to_s, aside: aside && basename(aside) });
    }
    database.close();
    return { checked, aside };
  } finally {
    lock.release();
  }
}

/** Without a log beside it, also while it is read. */
function asOneFile(path: string): void {
  const database = new DatabaseSync(path);
  database.exec("PRAGMA journal_mode = DELETE");
  database.close();
}

function integrity(database: DatabaseSync): string[] {
  try {
    const rows = database.prepare("PRAGMA integrity_check(10)").all();
    return rows.map((row) => String(row.integrity_check)).filter((line) => line !== "ok");
  } catch (error) {
    return [faultInWords(error) ?? String(error)];
  }
}

/** Decodes every chunk, and counts. */
function readThrough(database: DatabaseSync, faults: string[]): number {
  let readings = 0;
  try {
    for (const row of database.prepare("SELECT firstNth, readings, body FROM chunk ORDER BY firstNth").iterate()) {
      readings += chunkIn(row, faults);
    }
  } catch (error) {
    faults.push(faultInWords(error) ?? String(error));
  }
  return readings;
}

function chunkIn(row: Record<string, unknown>, faults: string[]): number {
  const where = `the chunk that begins with reading ${row.firstNth}`;
  try {
    const found = row.body instanceof Uint8Array ? decodeChunk(row.body).length : 0;
    if (found !== row.readings) faults.push(`${where} has ${found} readings; expected ${row.readings}`);
    return found;
  } catch (error) {
    if (!(error instanceof Error)) throw error;
    faults.push(`${where}: ${error.message}`);
    return 0;
  }
}
