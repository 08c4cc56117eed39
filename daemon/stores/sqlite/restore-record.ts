// Puts a copy in a record's place.

import { copyFileSync, existsSync, renameSync, rmSync } from "node:fs";
import { basename } from "node:path";
import { asideName } from "../aside-name.ts";
import type { PutBack } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { inOneSentence } from "./fault.ts";
import { lockStore } from "./lock.ts";
import { asOneFile } from "./one-file.ts";
import { openDatabase } from "./open-database.ts";
import { putBackTable } from "./put-back-table.ts";
import { endOf } from "./read-record.ts";
import { type Checked, checkRecord } from "./upkeep.ts";

/**
 * Puts a copy in the record's place, once it has proved whole; what was there is set aside, under the returned name. The
 * copy is made ready beside the record first: a disk without room for it, or an end in the middle, leaves the record.
 */
export function restoreRecord(path: string, copy: string, now_s: number): { checked: Checked; aside: string | null } {
  const checked = checkRecord(copy);
  if (checked.faults.length > 0) throw new StoreError(`${copy} is not whole: ${checked.faults.join("; ")}`);
  const lock = lockStore(path);
  const ready = `${path}.restoring`;
  try {
    const aside = existsSync(path) ? asideName(path, "before", now_s) : null;
    const to_s = aside === null ? now_s : (endOf(path) ?? now_s);
    removeParts(ready);
    makeReady(ready, copy, missing(checked, { at_s: now_s, to_s, aside: aside && basename(aside) }));
    for (const part of ["", "-wal", ".recent", ".seconds"]) {
      if (aside !== null && existsSync(path + part)) renameSync(path + part, aside + part);
    }
    for (const part of ["-wal", "-shm", ".recent", ".seconds"]) rmSync(path + part, { force: true });
    renameSync(ready, path);
    return { checked, aside };
  } catch (error) {
    removeParts(ready);
    throw inOneSentence(path, error, "the record is as it was");
  } finally {
    lock.release();
  }
}

function missing({ to_s: from_s }: Checked, { at_s, to_s, aside }: Omit<PutBack, "from_s">): PutBack | null {
  // A copy that goes further than what was there has all of it.
  return from_s !== null && to_s > from_s ? { at_s, from_s, to_s, aside } : null;
}

/** As one file, on the card when it returns. */
function makeReady(ready: string, copy: string, putBack: PutBack | null): void {
  copyFileSync(copy, ready);
  const database = openDatabase(ready);
  try {
    // With a name of its own it takes up nothing that another life of this record left.
    database.exec("PRAGMA synchronous = FULL; UPDATE record SET store = lower(hex(randomblob(8))), batches = 0");
    if (putBack !== null) putBackTable(database).note(putBack);
  } finally {
    database.close();
  }
  asOneFile(ready);
}

function removeParts(path: string): void {
  for (const part of ["", "-wal", "-shm"]) rmSync(path + part, { force: true });
}
