// One store, one daemon: a lock that the system itself lifts when its process dies, however it dies. It is a write
// lock on a small database beside the store, for its other readers can still see who holds it.

import { DatabaseSync } from "node:sqlite";
import { StoreError } from "../store-error.ts";
import { faultCode, faultInWords } from "./fault.ts";

export interface StoreLock {
  release(): void;
}

/** Another process has the store. */
export class StoreInUse extends StoreError {}

/**
 * Takes the store's lock, in the file `<path>.lock`, which stays behind and means nothing by itself.
 * @throws {StoreInUse} when another process holds it, naming that process
 * @throws {StoreError} when nobody can lock it
 */
export function lockStore(path: string): StoreLock {
  const database = openLockFile(path);
  try {
    while (!takeAndSign(database));
  } catch (error) {
    const holder = faultCode(error) === 5 ? signature(database) : null;
    database.close();
    if (holder === null) throw cannotLock(path, error);
    const process = holder === 0 ? "" : ` (process ${holder})`;
    throw new StoreInUse(
      `${path} is in use by another undercroft${process}; stop that one, or give this one a store of its own`,
    );
  }
  return { release: () => database.close() };
}

function openLockFile(path: string): DatabaseSync {
  try {
    // Whoever asks who holds it reads for an instant: waiting a little keeps that from looking like a holder.
    return new DatabaseSync(`${path}.lock`, { timeout: 200 });
  } catch (error) {
    throw cannotLock(path, error);
  }
}

/** Takes the lock, writes this process's number where others can read it, and keeps the lock; false: try again. */
function takeAndSign(database: DatabaseSync): boolean {
  database.exec("BEGIN IMMEDIATE");
  if (signature(database) === process.pid) return true;
  try {
    database.exec(`PRAGMA user_version = ${process.pid}; COMMIT`); // committing shows the number, and lets go
    return false;
  } catch (error) {
    // A full disk must not keep a monitor from starting: unsigned, the lock still holds.
    if (faultCode(error) === 5) throw error;
    if (!database.isTransaction) database.exec("BEGIN IMMEDIATE");
    return true;
  }
}

function signature(database: DatabaseSync): number {
  return Number(database.prepare("PRAGMA user_version").get()?.user_version ?? 0);
}

function cannotLock(path: string, error: unknown): StoreError {
  return new StoreError(`${path}.lock: ${faultInWords(error) ?? String(error)}`, { cause: error });
}
