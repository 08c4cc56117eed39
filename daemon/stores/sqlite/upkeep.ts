// What is done with a record by hand: look through it, make it smaller, copy it while it is written to.

import { copyFileSync, existsSync, rmSync, statSync } from "node:fs";
import { backup, type DatabaseSync } from "node:sqlite";
import { decodeChunk } from "../chunk/chunk.ts";
import { openSqliteStore } from "../sqlite-store.ts";
import { StoreError } from "../store-error.ts";
import { faultInWords, inOneSentence } from "./fault.ts";
import { lockStore } from "./lock.ts";
import { asOneFile } from "./one-file.ts";
import { openDatabase } from "./open-database.ts";
import { openToRead, refuseMissing } from "./open-to-read.ts";
import { readRecord } from "./read-record.ts";

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

/** Reads all of a record, also while a daemon writes it: the database, and the newest, which it does not have yet. */
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
    const [from_s, to_s] = [of("SELECT from_s AS n FROM record"), of("SELECT to_s AS n FROM record")];
    const whole = faults.length === 0 ? countAll(path, { readings, from_s, to_s }) : { readings, from_s, to_s };
    return {
      // With what is still in the log: while a daemon runs, that may be nearly all.
      size_B: of("SELECT page_count * page_size AS n FROM pragma_page_count, pragma_page_size") ?? statSync(path).size,
      cycles: of("SELECT count(*) AS n FROM cycle") ?? 0,
      findings: of("SELECT count(*) AS n FROM finding") ?? 0,
      ...whole,
      faults: [...new Set(faults)],
    };
  } finally {
    database.close();
  }
}

type Counted = Pick<Checked, "readings" | "from_s" | "to_s">;

/** What the database has, with the newest, of which it may have nothing for hours. */
function countAll(path: string, inDatabase: Counted): Counted & Pick<Checked, "cycles" | "findings"> {
  const record = readRecord(path);
  try {
    let { readings, from_s, to_s } = inDatabase;
    for (const { time_s } of record.recent()) {
      readings++;
      from_s ??= time_s;
      to_s = time_s;
    }
    const count = (all: Iterable<unknown>) => Array.from(all, () => null).length;
    return { readings, from_s, to_s, cycles: count(record.cycles()), findings: count(record.findings()) };
  } finally {
    record.close();
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
    try {
      database.exec("VACUUM; PRAGMA wal_checkpoint(TRUNCATE)");
    } finally {
      database.close();
    }
    return { before_B, after_B: statSync(path).size };
  } catch (error) {
    throw inOneSentence(path, error, "it is as it was; to be made smaller it needs room for a second one of its size");
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
    takeInRecent(copy);
    asOneFile(copy);
    const checked = checkRecord(copy);
    if (checked.faults.length > 0) throw new StoreError(`${copy}: the copy is not whole: ${checked.faults.join("; ")}`);
    return checked;
  } catch (error) {
    rmSync(copy, { force: true });
    throw inOneSentence(copy, error, "no copy was made");
  } finally {
    source.close();
    for (const part of [".recent", ".lock", "-wal", "-shm"]) rmSync(copy + part, { force: true });
  }
}

/** A store that has no room holds what it cannot write; a copy would then be without the newest. */
function takeInRecent(copy: string): void {
  const store = openSqliteStore(copy);
  store.close();
  const { error } = store.health();
  if (error !== null) throw new StoreError(`${copy}: ${error}; no copy was made`);
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
