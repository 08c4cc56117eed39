// The durable memory of the alarms: how each stands, what happened, and every message until it is known what became of it.
// A file of its own beside the record. What is written is on the card when the call returns; it is written before it is
// tried, so that a process that ends at any instruction loses no message.

import { DatabaseSync, type SQLInputValue } from "node:sqlite";
import type { AlarmName, Priority } from "../../../analysis/alarms/alarm.ts";
import type { AlarmChange } from "../../../analysis/alarms/alarm-book.ts";
import { type AlarmRecord, occurrenceKey } from "../../../analysis/alarms/alarm-record.ts";
import { StoreError } from "../../stores/store-error.ts";
import type { MessageKind, MessageRow, MessageState, NewMessage } from "./message-row.ts";

export interface JournalEntry {
  readonly at_s: number;
  readonly kind: AlarmChange["kind"];
  readonly alarm: AlarmName;
  readonly occurrence: string;
  readonly priority: Priority;
  readonly by: string | null;
}

export interface Proven {
  readonly contact: string;
  readonly by: string;
  readonly at_s: number;
}

export interface Outbox {
  /** The alarms as they were last kept; empty at first. */
  alarms(): AlarmRecord[];
  /** In one step: how the alarms stand, what happened, what is to be said, and what need no longer be said. */
  keep(change: {
    readonly alarms: readonly AlarmRecord[];
    readonly journal?: readonly JournalEntry[];
    readonly messages?: readonly NewMessage[];
    /** Of these occurrences nobody is called any more who would have been after that time. */
    readonly callOff?: readonly { readonly occurrence: string; readonly after_s: number }[];
    readonly now_s: number;
  }): void;
  waiting(): MessageRow[];
  message(id: number): MessageRow | null;
  /** Newest first. */
  messages(limit: number): MessageRow[];
  /** Occurrences that went in the same message. */
  joined(id: number): string[];
  /** Who has been told of an occurrence, or may have been, or is about to be although it is over. */
  toldOf(occurrence: string, now_s: number): string[];
  /** When messages left for a contact since then. */
  sentSince(contact: string, since_s: number): { readonly at_s: number; readonly priority: Priority }[];
  change(ids: readonly number[], change: Partial<Pick<MessageRow, Changeable>>): void;
  journal(since_s: number): JournalEntry[];
  proven(): Proven[];
  prove(proven: Proven): void;
  /** A note of the daemon's own, such as when the last proof went out. */
  note(name: string): string | null;
  setNote(name: string, value: string): void;
  close(): void;
}

type Changeable =
  | "state"
  | "way"
  | "tries"
  | "next_s"
  | "maybeSent"
  | "joinedTo"
  | "sent_s"
  | "sentBy"
  | "delivered_s"
  | "reason";

/** Ended messages and what happened are kept for so long: the figures of alarm management look at 30 days and more. */
const kept_s = 400 * 86_400;
/** "UCFA", in the file's header. */
const applicationId = 0x55434641;
const version = 1;

/**
 * Opens or makes the file. Its journal and some free pages are made at once and never given back, so that a few messages
 * still fit when the card is full.
 *
 * @throws {StoreError} naming the file, what was found and what to do
 */
export function openOutbox(path: string): Outbox {
  const database = open(path);
  // An attempt that was under way when the process ended: nobody knows whether it left.
  database.exec("UPDATE message SET state = 'waiting', maybeSent = 1 WHERE state = 'sending'");
  const run = (sql: string, ...values: SQLInputValue[]) => database.prepare(sql).run(...values);

  function inOne(work: () => void): void {
    database.exec("BEGIN IMMEDIATE");
    try {
      work();
      database.exec("COMMIT");
    } catch (error) {
      database.exec("ROLLBACK");
      throw error;
    }
  }

  return {
    alarms() {
      const row = database.prepare("SELECT json FROM book").get();
      return row === undefined ? [] : JSON.parse(String(row.json));
    },
    keep({ alarms, journal = [], messages = [], callOff = [], now_s }) {
      inOne(() => {
        run(
          "INSERT INTO book (id, json) VALUES (1, ?) ON CONFLICT (id) DO UPDATE SET json = excluded.json",
          JSON.stringify(alarms),
        );
        for (const { at_s, kind, alarm, occurrence, priority, by } of journal) {
          run(
            "INSERT INTO journal (at_s, kind, alarm, occurrence, priority, by) VALUES (?, ?, ?, ?, ?, ?)",
            ...[at_s, kind, alarm, occurrence, priority, by],
          );
        }
        for (const { occurrence, after_s } of callOff) {
          run(
            `UPDATE message SET state = 'called-off', reason = 'acknowledged, or over before it was due'
              WHERE occurrence = ? AND due_s > ? AND state = 'waiting' AND kind <> 'over'`,
            ...[occurrence, after_s],
          );
        }
        for (const message of messages) insert(database, message, now_s);
        if (journal.length > 0) {
          run("DELETE FROM journal WHERE at_s < ?", now_s - kept_s);
          run("DELETE FROM message WHERE created_s < ? AND state NOT IN ('waiting', 'sending')", now_s - kept_s);
        }
      });
    },
    waiting: () => rows(database, "WHERE state = 'waiting' ORDER BY id"),
    message: (id) => rows(database, "WHERE id = ?", id)[0] ?? null,
    messages: (limit) => rows(database, "ORDER BY id DESC LIMIT ?", limit),
    joined: (id) =>
      database
        .prepare("SELECT occurrence FROM message WHERE joinedTo = ?")
        .all(id)
        .map(({ occurrence }) => String(occurrence)),
    toldOf: (occurrence, now_s) =>
      database
        .prepare(
          `SELECT DISTINCT contact FROM message WHERE occurrence = ? AND (state IN ('sent', 'sending') OR maybeSent = 1
            OR (state = 'waiting' AND due_s <= ? AND priority = 'high'))`,
        )
        .all(occurrence, now_s)
        .map(({ contact }) => String(contact)),
    sentSince: (contact, since_s) =>
      database
        .prepare(
          "SELECT sent_s, priority FROM message WHERE contact = ? AND sent_s >= ? AND joinedTo IS NULL AND kind NOT IN ('test', 'proof') ORDER BY sent_s",
        )
        .all(contact, since_s)
        .map(({ sent_s, priority }) => ({ at_s: Number(sent_s), priority: priority as Priority })),
    change(ids, change) {
      const columns = Object.entries(change);
      if (ids.length === 0 || columns.length === 0) return;
      const sql = `UPDATE message SET ${columns.map(([name]) => `${name} = ?`).join(", ")} WHERE id = ?`;
      const values = columns.map(([, value]) => (typeof value === "boolean" ? Number(value) : value));
      inOne(() => {
        for (const id of ids) run(sql, ...values, id);
      });
    },
    journal: (since_s) =>
      database
        .prepare("SELECT at_s, kind, alarm, occurrence, priority, by FROM journal WHERE at_s >= ? ORDER BY id")
        .all(since_s) as unknown as JournalEntry[],
    proven: () => database.prepare("SELECT contact, by, at_s FROM proven").all() as unknown as Proven[],
    prove({ contact, by, at_s }) {
      run(
        "INSERT INTO proven (contact, by, at_s) VALUES (?, ?, ?) ON CONFLICT (contact, by) DO UPDATE SET at_s = excluded.at_s",
        ...[contact, by, at_s],
      );
    },
    note(name) {
      const row = database.prepare("SELECT value FROM note WHERE name = ?").get(name);
      return row === undefined ? null : String(row.value);
    },
    setNote(name, value) {
      run(
        "INSERT INTO note (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
        name,
        value,
      );
    },
    close: () => database.close(),
  };
}

/** What happened, as the journal keeps it. */
export function journalEntry({ kind, alarm, at_s, by }: AlarmChange, priority: Priority): JournalEntry {
  return { at_s, kind, alarm: alarm.name, occurrence: occurrenceKey(alarm), priority, by };
}

function open(path: string): DatabaseSync {
  let database: DatabaseSync | undefined;
  try {
    database = new DatabaseSync(path, { timeout: 2000 });
    const { user_version: found } = database.prepare("PRAGMA user_version").get() as { user_version: number };
    const { application_id: owner } = database.prepare("PRAGMA application_id").get() as { application_id: number };
    const tables = database.prepare("SELECT count(*) AS n FROM sqlite_schema").get() as { n: number };
    if (tables.n > 0 && owner !== applicationId) throw new Error("it is a database of another program");
    if (found > version) throw new Error(`it is of a newer version (${found}, this program knows ${version})`);
    // Not WAL: its log grows, and a full card could not take it. A journal that stays has its room already.
    database.exec("PRAGMA journal_mode = PERSIST; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON");
    if (found === 0) make(database);
    return database;
  } catch (error) {
    database?.close();
    const why = error instanceof Error ? error.message : String(error);
    throw new StoreError(`alarms: cannot use ${path}: ${why}; move it away, and a new one is made`, { cause: error });
  }
}

function make(database: DatabaseSync): void {
  database.exec(`BEGIN;
    CREATE TABLE book (id INTEGER PRIMARY KEY CHECK (id = 1), json TEXT NOT NULL) STRICT;
    CREATE TABLE journal (id INTEGER PRIMARY KEY, at_s REAL NOT NULL, kind TEXT NOT NULL, alarm TEXT NOT NULL,
      occurrence TEXT NOT NULL, priority TEXT NOT NULL, by TEXT) STRICT;
    CREATE INDEX journal_at ON journal (at_s);
    CREATE TABLE message (id INTEGER PRIMARY KEY AUTOINCREMENT, key TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, alarm TEXT,
      occurrence TEXT NOT NULL, priority TEXT NOT NULL, contact TEXT NOT NULL, onlyBy TEXT, due_s REAL NOT NULL,
      expires_s REAL NOT NULL, from_s REAL, to_s REAL, facts TEXT NOT NULL, created_s REAL NOT NULL,
      state TEXT NOT NULL DEFAULT 'waiting', way INTEGER NOT NULL DEFAULT 0, tries INTEGER NOT NULL DEFAULT 0,
      next_s REAL NOT NULL, maybeSent INTEGER NOT NULL DEFAULT 0, joinedTo INTEGER, sent_s REAL, sentBy TEXT,
      delivered_s REAL, reason TEXT) STRICT;
    CREATE INDEX message_open ON message (state) WHERE state IN ('waiting', 'sending');
    CREATE INDEX message_of ON message (occurrence);
    CREATE INDEX message_to ON message (contact, sent_s);
    CREATE TABLE proven (contact TEXT NOT NULL, by TEXT NOT NULL, at_s REAL NOT NULL, PRIMARY KEY (contact, by)) STRICT;
    CREATE TABLE note (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
    CREATE TABLE room (filler BLOB) STRICT;
    PRAGMA application_id = ${applicationId};
    PRAGMA user_version = ${version};
    COMMIT;`);
  database.exec(
    "INSERT INTO room VALUES (zeroblob(262144)); UPDATE room SET filler = randomblob(262144); DELETE FROM room",
  );
}

function insert(database: DatabaseSync, message: NewMessage, now_s: number): void {
  const { key, kind, alarm, occurrence, priority, contact, onlyBy, due_s, expires_s, from_s, to_s, facts } = message;
  database
    .prepare(
      `INSERT INTO message (key, kind, alarm, occurrence, priority, contact, onlyBy, due_s, expires_s, from_s, to_s, facts,
        created_s, next_s) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (key) DO NOTHING`,
    )
    .run(
      ...[key, kind, alarm, occurrence, priority, contact, onlyBy, due_s, expires_s, from_s, to_s],
      ...[JSON.stringify(facts), now_s, due_s],
    );
}

function rows(database: DatabaseSync, where: string, ...values: SQLInputValue[]): MessageRow[] {
  return database
    .prepare(`SELECT * FROM message ${where}`)
    .all(...values)
    .map((row) => ({
      ...(row as unknown as MessageRow),
      kind: row.kind as MessageKind,
      state: row.state as MessageState,
      maybeSent: row.maybeSent === 1,
      facts: JSON.parse(String(row.facts)),
    }));
}
