// The outbox' file: its tables, how one is opened, and how what it holds goes from one database into another.

import { randomBytes } from "node:crypto";
import { existsSync, renameSync } from "node:fs";
import { DatabaseSync, type SQLInputValue } from "node:sqlite";
import { asideName } from "../../stores/aside-name.ts";
import { faultCode } from "../../stores/sqlite/fault.ts";
import { slipsPath } from "./slips.ts";

/** "UCFA", in the file's header. */
const applicationId = 0x55434641;
const version = 4;
const tables = ["standing", "journal", "message", "proven", "note"] as const;

/** How each alarm stands is kept by itself: one changes, and the others need not be written. `identity` names what is in the outbox, wherever it goes; `slips` this file, and what it has of the slips beside it. */
const schema = `
  CREATE TABLE standing (alarm TEXT PRIMARY KEY, json TEXT NOT NULL) STRICT;
  CREATE TABLE journal (id INTEGER PRIMARY KEY, at_s REAL NOT NULL, kind TEXT NOT NULL, alarm TEXT NOT NULL,
    occurrence TEXT NOT NULL, priority TEXT NOT NULL, by TEXT, via TEXT, reason TEXT, until_s REAL) STRICT;
  CREATE INDEX journal_at ON journal (at_s);
  CREATE TABLE message (id INTEGER PRIMARY KEY AUTOINCREMENT, key TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, alarm TEXT,
    occurrence TEXT NOT NULL, priority TEXT NOT NULL, contact TEXT NOT NULL, onlyBy TEXT, due_s REAL NOT NULL,
    expires_s REAL NOT NULL, from_s REAL, to_s REAL, facts TEXT NOT NULL, created_s REAL NOT NULL,
    state TEXT NOT NULL DEFAULT 'waiting', way INTEGER NOT NULL DEFAULT 0, tries INTEGER NOT NULL DEFAULT 0,
    next_s REAL NOT NULL, maybeSent INTEGER NOT NULL DEFAULT 0, joinedTo INTEGER, sent_s REAL, sentBy TEXT,
    delivered_s REAL, reason TEXT, calledOff INTEGER NOT NULL DEFAULT 0,
    origin TEXT NOT NULL DEFAULT '') STRICT;
  CREATE INDEX message_open ON message (state) WHERE state IN ('waiting', 'sending');
  CREATE INDEX message_of ON message (occurrence);
  CREATE INDEX message_to ON message (contact, sent_s);
  CREATE INDEX message_with ON message (joinedTo);
  CREATE TABLE proven (contact TEXT NOT NULL, by TEXT NOT NULL, at_s REAL NOT NULL, PRIMARY KEY (contact, by)) STRICT;
  CREATE TABLE note (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
  CREATE TABLE room (filler BLOB) STRICT;
  CREATE TABLE slips (owner TEXT NOT NULL, taken INTEGER NOT NULL) STRICT;
  PRAGMA application_id = ${applicationId};
  PRAGMA user_version = ${version};`;

/** What is in the way of using a file as it is, other than a lock or a card that takes nothing. */
export class UnusableFile extends Error {}

/**
 * Opens or makes the file, and keeps it to itself: no other program can change it meanwhile, nor hold up what is written.
 * Its journal and some free pages are made at once and never given back, so that a few messages fit when the card is full.
 *
 * @throws {UnusableFile} when it is damaged, of another program, or of a newer version
 */
export function openFile(path: string, timeout_ms: number): DatabaseSync {
  let database: DatabaseSync | undefined;
  try {
    database = new DatabaseSync(path, { timeout: timeout_ms });
    const { user_version: found } = database.prepare("PRAGMA user_version").get() as { user_version: number };
    const { application_id: owner } = database.prepare("PRAGMA application_id").get() as { application_id: number };
    const { n } = database.prepare("SELECT count(*) AS n FROM sqlite_schema").get() as { n: number };
    if (n > 0 && owner !== applicationId) throw new UnusableFile("it is a database of another program");
    if (found > version) throw new UnusableFile(`its version is ${found}, and this program knows ${version}`);
    // Not WAL: its log grows, and a full card could not take it. A journal that stays has its room already.
    database.exec("PRAGMA locking_mode = EXCLUSIVE; PRAGMA journal_mode = PERSIST; PRAGMA synchronous = FULL");
    if (found === 0) make(database);
    if (found === 1) addCalledOff(database);
    if (found === 1 || found === 2) addIdentity(database);
    if (found > 0 && found < 4) addVia(database);
    return database;
  } catch (error) {
    database?.close();
    const code = faultCode(error);
    if (code !== 11 && code !== 26) throw error;
    throw new UnusableFile(error instanceof Error ? error.message : String(error), { cause: error });
  }
}

function make(database: DatabaseSync): void {
  database.exec(`BEGIN; ${schema} ${names()} COMMIT;`);
  database.exec(
    "INSERT INTO room VALUES (zeroblob(262144)); UPDATE room SET filler = randomblob(262144); DELETE FROM room",
  );
}

function addCalledOff(database: DatabaseSync): void {
  database.exec(`BEGIN;
    ALTER TABLE message ADD COLUMN calledOff INTEGER NOT NULL DEFAULT 0;
    CREATE INDEX message_with ON message (joinedTo);
    PRAGMA user_version = 2;
    COMMIT;`);
}

function addIdentity(database: DatabaseSync): void {
  database.exec(`BEGIN;
    ALTER TABLE message ADD COLUMN origin TEXT NOT NULL DEFAULT '';
    CREATE TABLE slips (owner TEXT NOT NULL, taken INTEGER NOT NULL) STRICT;
    CREATE TABLE standing (alarm TEXT PRIMARY KEY, json TEXT NOT NULL) STRICT;
    INSERT INTO standing SELECT json_extract(value, '$.name'), value FROM book, json_each(book.json);
    DROP TABLE book;
    ${names()}
    UPDATE message SET origin = (SELECT value FROM note WHERE name = 'identity');
    PRAGMA user_version = 3;
    COMMIT;`);
}

function addVia(database: DatabaseSync): void {
  database.exec(`BEGIN;
    ALTER TABLE journal ADD COLUMN via TEXT;
    ALTER TABLE journal ADD COLUMN reason TEXT;
    ALTER TABLE journal ADD COLUMN until_s REAL;
    PRAGMA user_version = 4;
    COMMIT;`);
}

function names(): string {
  return `INSERT INTO note VALUES ('identity', '${newIdentity()}');
    INSERT INTO slips VALUES ('${randomBytes(8).toString("hex")}', 0);`;
}

/** Under which no other outbox numbers its messages. */
export function newIdentity(): string {
  return randomBytes(6).toString("hex");
}

export function inMemory(): DatabaseSync {
  const database = new DatabaseSync(":memory:");
  database.exec(schema);
  return database;
}

/** Moves an unusable file out of the way, under a name with the date. @returns where it stands now */
export function setAside(path: string, now_s: number): string {
  const aside = asideName(path, "aside", now_s);
  for (const name of [(each: string) => each, (each: string) => `${each}-journal`, slipsPath])
    if (existsSync(name(path))) renameSync(name(path), name(aside));
  return aside;
}

/**
 * Adds what one database holds to what the other has: of two rows with one key that of the other stays.
 *
 * @returns how many tables could not be read to their end
 */
export function addRows(from: DatabaseSync, to: DatabaseSync): number {
  let unread = 0;
  for (const table of [...tables, "sqlite_sequence"]) {
    let isWhole = true;
    try {
      // The journal's numbers say nothing but the order, and may clash.
      const columns = columnsOf(to, table).filter((name) => !(table === "journal" && name === "id"));
      const insert = to.prepare(
        `INSERT OR IGNORE INTO ${table} (${columns.join(", ")}) VALUES (${columns.map(() => "?").join(", ")})`,
      );
      for (const row of from.prepare(`SELECT * FROM ${table} ORDER BY rowid`).iterate()) {
        insert.run(...columns.map((name) => row[name] as SQLInputValue));
      }
    } catch (error) {
      if (faultCode(error) !== 11) throw error;
      isWhole = false;
    }
    if (!isWhole) unread++;
  }
  return unread;
}

export function emptyTables(database: DatabaseSync): void {
  for (const table of [...tables, "sqlite_sequence"]) database.exec(`DELETE FROM ${table}`);
}

function columnsOf(database: DatabaseSync, table: string): string[] {
  return database
    .prepare(`SELECT name FROM pragma_table_info('${table}')`)
    .all()
    .map(({ name }) => String(name));
}
