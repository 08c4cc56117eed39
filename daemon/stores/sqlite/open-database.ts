// Opens the store's database file, or refuses it in one clear sentence: another program's, a newer program's, damaged.

import { DatabaseSync } from "node:sqlite";
import { StoreError } from "../store-error.ts";
import { faultCode, inOneSentence } from "./fault.ts";
import { type Migration, migrate, migrations, schemaVersion } from "./migrations.ts";

/** "UCFT", in the file's header, so that another program's database is never taken for ours. */
export const applicationId = 0x55434654;

/**
 * Opens and, where needed, makes or migrates the database.
 * @throws {StoreError} naming the file, what was found and what to do
 */
export function openDatabase(path: string, steps: readonly Migration[] = migrations): DatabaseSync {
  try {
    return open(path, steps, "NORMAL");
  } catch (error) {
    if (!noRoom.has(faultCode(error) ?? 0)) throw storeError(path, error);
  }
  try {
    // A monitor must start on a full disk, too. The log's index is shared with readers through a file of its own;
    // where there is no room for that, it does without them.
    return open(path, steps, "EXCLUSIVE");
  } catch (error) {
    throw storeError(path, error);
  }
}

/** A disk error, for want of room for the index; a full disk. */
const noRoom: ReadonlySet<number> = new Set([10, 13]);

function open(path: string, steps: readonly Migration[], locking: "NORMAL" | "EXCLUSIVE"): DatabaseSync {
  // Another program's lock is waited for only shortly: the readings can wait better than the daemon.
  const database = new DatabaseSync(path, { timeout: 50 });
  try {
    database.exec(`PRAGMA locking_mode = ${locking}`);
    refuseForeign(database, path);
    refuseNewer(database, path, steps.length);
    // What is deleted gives its room back to the disk; only a file without tables can be told so.
    if (schemaVersion(database) === 0) database.exec("PRAGMA auto_vacuum = INCREMENTAL");
    // WAL: appending readings writes in order and never twice; the log is kept small, the memory too.
    database.exec(`PRAGMA journal_mode = WAL; PRAGMA journal_size_limit = 4194304;
      PRAGMA cache_size = -4000; PRAGMA mmap_size = 0`);
    // Nothing is written to a store that is up to date.
    if (schemaVersion(database) === 0) database.exec(`PRAGMA application_id = ${applicationId}`);
    if (migrate(database, steps) in formerVersions) giveRoomBack(database);
    return database;
  } catch (error) {
    database.close();
    throw error;
  }
}

/** Versions that had a row for each reading: moved into chunks, they are a twentieth of the size. */
const formerVersions: Readonly<Record<number, true>> = { 1: true, 2: true, 3: true, 4: true };

function giveRoomBack(database: DatabaseSync): void {
  try {
    database.exec("PRAGMA auto_vacuum = INCREMENTAL; VACUUM");
  } catch (error) {
    if (!noRoom.has(faultCode(error) ?? 0)) throw error; // it stays as large as it is, and fills up again
  }
}

function refuseForeign(database: DatabaseSync, path: string): void {
  const found = Number(database.prepare("PRAGMA application_id").get()?.application_id);
  if (found === applicationId) return;
  const { tables } = database.prepare("SELECT count(*) AS tables FROM sqlite_schema").get() ?? {};
  if (tables === 0) return; // new, or made and not yet filled
  throw new StoreError(`${path} is another program's database; expected a store of undercroft, or no file`);
}

function refuseNewer(database: DatabaseSync, path: string, known: number): void {
  const found = schemaVersion(database);
  if (found <= known) return;
  throw new StoreError(
    `${path} was written by a newer undercroft (schema ${found}; this one knows up to ${known}); update this one`,
  );
}

/** An error met while opening or reading a store, as one sentence that names the file. */
export function storeError(path: string, error: unknown): unknown {
  return inOneSentence(path, error, "free it, put it right or move it aside");
}
