// Opens a record's database to be read alone, while a daemon may be writing it, or refuses it in one clear sentence.

import { existsSync } from "node:fs";
import { DatabaseSync } from "node:sqlite";
import { StoreError } from "../store-error.ts";
import { faultInWords } from "./fault.ts";
import { migrations, schemaVersion } from "./migrations.ts";
import { applicationId } from "./open-database.ts";

/** @throws {StoreError} in one sentence when it is no record of the present schema */
export function openToRead(path: string): DatabaseSync {
  refuseMissing(path);
  let database: DatabaseSync | null = null;
  try {
    database = new DatabaseSync(path, { readOnly: true });
    const found = database.prepare("PRAGMA application_id").get()?.application_id;
    const version = schemaVersion(database);
    if (found === applicationId && version === migrations.length) return database;
    database.close();
    if (found === applicationId) throw ofAnotherSchema(path, version);
  } catch (error) {
    if (database?.isOpen) database.close();
    if (error instanceof StoreError) throw error;
    throw new StoreError(`${path}: ${faultInWords(error) ?? String(error)}`, { cause: error });
  }
  throw new StoreError(`${path} is another program's database; expected a record of undercroft`);
}

function ofAnotherSchema(path: string, version: number): StoreError {
  const known = migrations.length;
  return new StoreError(
    version < known
      ? `${path} was written by an older undercroft (schema ${version}; this one has ${known}): undercroft store compact takes it forward`
      : `${path} was written by a newer undercroft (schema ${version}; this one knows up to ${known}); update this one`,
  );
}

export function refuseMissing(path: string): void {
  if (!existsSync(path)) throw noSuchRecord(path);
}

export function noSuchRecord(path: string): StoreError {
  return new StoreError(
    `${path}: no such record; expected one that undercroft run has kept (where that was given --store, give it here too)`,
  );
}
