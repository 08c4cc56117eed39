// Opens the record. Where the disk takes nothing when the daemon starts, as after a card has worn out and the system has
// mounted it read-only, a record in memory stands in: nobody would be called otherwise.

import { accessSync, constants } from "node:fs";
import { dirname } from "node:path";
import { faultCode } from "./stores/sqlite/fault.ts";
import { openSqliteStore } from "./stores/sqlite-store.ts";
import type { Store, StoreOptions } from "./stores/store.ts";
import { StoreError } from "./stores/store-error.ts";

export interface OpenRecord {
  readonly store: Store;
  /** It is in memory, and ends with the process. */
  readonly standsIn: boolean;
}

export interface OpenRecordOptions {
  readonly open?: ((path: string, options: StoreOptions) => Store) | undefined;
  /** Somebody is to be called: it is better to watch without a record than not at all. */
  readonly somebodyIsCalled: boolean;
}

/** SQLite's codes of a disk that is read-only, reports errors, or is full. */
const faultsOfDisk: ReadonlySet<number | null> = new Set([8, 10, 13]);
const cannotOpen = 14;

/** @throws {StoreError} for what is no fault of the disk, or where nobody is called */
export function openRecord(
  path: string,
  options: StoreOptions,
  { open = openSqliteStore, somebodyIsCalled }: OpenRecordOptions,
): OpenRecord {
  try {
    return { store: open(path, options), standsIn: false };
  } catch (error) {
    if (!somebodyIsCalled || !(error instanceof StoreError) || !isFaultOfDisk(path, error)) throw error;
    options.log?.(
      `store: ${error.message}. Nothing is recorded until the daemon is started again on a disk that takes it; what is true now is watched, and people are told of it`,
    );
    return { store: inMemory(error.message, options), standsIn: true };
  }
}

function isFaultOfDisk(path: string, { cause }: StoreError): boolean {
  const code = faultCode(cause);
  return faultsOfDisk.has(code) || (code === cannotOpen && isReadOnly(dirname(path)));
}

/** The file system itself, and not only for this user: that would be a mistake of whoever set it up. */
function isReadOnly(folder: string): boolean {
  try {
    accessSync(folder, constants.W_OK);
    return false;
  } catch (error) {
    return error instanceof Error && "code" in error && error.code === "EROFS";
  }
}

function inMemory(why: string, options: StoreOptions): Store {
  const store = openSqliteStore(":memory:", options);
  const since_s = (options.now_s ?? (() => Date.now() / 1000))();
  return {
    ...store,
    health: () => ({ ...store.health(), state: "holding", held: store.readingCount(), error: why, since_s }),
  };
}
