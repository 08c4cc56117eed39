// The durable memory of the alarms: how each stands, what happened, and every message until it is known what became of it.
// A file of its own beside the record. What is written is on the card when the call returns; it is written before it is
// tried, so that a process that ends at any instruction loses no message.

import type { DatabaseSync, SQLInputValue } from "node:sqlite";
import type { AlarmName, Priority } from "../../../analysis/alarms/alarm.ts";
import type { AlarmChange } from "../../../analysis/alarms/alarm-book.ts";
import { type AlarmRecord, occurrenceKey } from "../../../analysis/alarms/alarm-record.ts";
import { openCardAndMemory } from "./card-and-memory.ts";
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

/** A way that was tried to no avail when it was last tested or proven. */
export interface FailedProof extends Proven {
  readonly reason: string | null;
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
  /** How many messages about alarms, made since then, were given up, or were due by that time and still fail. */
  undelivered(since_s: number, dueBy_s: number): number;
  /** Occurrences that went in the same message. */
  joined(id: number): string[];
  /** To whom an occurrence was to be told so far, sent or not. */
  calledFor(occurrence: string): string[];
  joinedIds(id: number): number[];
  /** Who has been told of an occurrence, or may have been, or is about to be although it is over. */
  toldOf(occurrence: string, now_s: number): string[];
  /** When messages left for a contact since then. */
  sentSince(
    contact: string,
    since_s: number,
  ): { readonly at_s: number; readonly priority: Priority; readonly kind: MessageKind }[];
  change(ids: readonly number[], change: Partial<Pick<MessageRow, Changeable>>): void;
  journal(since_s: number): JournalEntry[];
  proven(): Proven[];
  prove(proven: Proven): void;
  failedProofs(): FailedProof[];
  /** Brings to the card what it did not take; looks seldom. */
  retry(now_s: number): void;
  /** Why the card takes nothing, so that a power cut now would lose what is new; null while it does. */
  problem(): string | null;
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
const retryEvery_s = 10;
const calledOff = "acknowledged, or over before it was due";
/**
 * Opens or makes the file. One that is damaged or not ours is set aside; while none can be written, memory has what it
 * would have.
 */
export function openOutbox(
  path: string,
  { now_s = () => Date.now() / 1000, log = () => {} }: { now_s?(): number; log?(line: string): void } = {},
): Outbox {
  const both = openCardAndMemory(path, now_s, log);
  const { memory } = both;
  both.write((database) => {
    // An attempt that was under way when the process ended: nobody knows whether it left.
    database.exec(`UPDATE message SET state = iif(calledOff, 'called-off', 'waiting'), maybeSent = 1
      WHERE state = 'sending'`);
  });
  // A clock that was set back while nothing ran: what waits is no older than now, and does not wait for that time again.
  both.write((database) => {
    database
      .prepare(`UPDATE message SET due_s = due_s - (created_s - :now), next_s = due_s - (created_s - :now),
        expires_s = expires_s - (created_s - :now), created_s = :now WHERE state = 'waiting' AND created_s > :now`)
      .run({ now: now_s() });
  });
  let retried_s = now_s();

  return {
    alarms() {
      const row = memory.prepare("SELECT json FROM book").get();
      return row === undefined ? [] : JSON.parse(String(row.json));
    },
    keep({ alarms, journal = [], messages = [], callOff = [], now_s: at_s }) {
      both.write((database) => {
        const run = (sql: string, ...values: SQLInputValue[]) => database.prepare(sql).run(...values);
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
        // One that is under way, or whose receipt may still say that it did not arrive, is not tried again.
        for (const { occurrence, after_s } of callOff) {
          run(
            `UPDATE message SET calledOff = 1, reason = iif(state = 'waiting', '${calledOff}', reason),
              state = iif(state = 'waiting', 'called-off', state)
              WHERE occurrence = ? AND (due_s > ? OR kind = 'again') AND state IN ('waiting', 'sending', 'sent') AND kind <> 'over'`,
            ...[occurrence, after_s],
          );
        }
        for (const message of messages) insert(database, message, at_s);
        if (journal.length > 0) {
          run("DELETE FROM journal WHERE at_s < ?", at_s - kept_s);
          run("DELETE FROM message WHERE created_s < ? AND state NOT IN ('waiting', 'sending')", at_s - kept_s);
        }
      });
    },
    waiting: () => rows(memory, "WHERE state = 'waiting' ORDER BY id"),
    message: (id) => rows(memory, "WHERE id = ?", id)[0] ?? null,
    messages: (limit) => rows(memory, "ORDER BY id DESC LIMIT ?", limit),
    undelivered: (since_s, dueBy_s) =>
      Number(
        memory
          .prepare(
            `SELECT count(*) AS n FROM message WHERE created_s >= ? AND alarm IS NOT NULL
              AND (state IN ('expired', 'refused') OR (state = 'waiting' AND tries > 0 AND due_s <= ?))`,
          )
          .get(since_s, dueBy_s)?.n,
      ),
    joined: (id) =>
      memory
        .prepare("SELECT occurrence FROM message WHERE joinedTo = ?")
        .all(id)
        .map(({ occurrence }) => String(occurrence)),
    calledFor: (occurrence) =>
      memory
        .prepare("SELECT DISTINCT contact FROM message WHERE occurrence = ?")
        .all(occurrence)
        .map(({ contact }) => String(contact)),
    joinedIds: (id) =>
      memory
        .prepare("SELECT id FROM message WHERE joinedTo = ?")
        .all(id)
        .map((row) => Number(row.id)),
    toldOf: (occurrence, now_s) =>
      memory
        .prepare(
          `SELECT DISTINCT contact FROM message WHERE occurrence = ? AND (state IN ('sent', 'sending') OR maybeSent = 1
            OR (state = 'waiting' AND due_s <= ? AND priority = 'high'))`,
        )
        .all(occurrence, now_s)
        .map(({ contact }) => String(contact)),
    sentSince: (contact, since_s) =>
      memory
        .prepare(
          "SELECT sent_s, priority, kind FROM message WHERE contact = ? AND sent_s >= ? AND joinedTo IS NULL AND kind NOT IN ('test', 'proof') ORDER BY sent_s",
        )
        .all(contact, since_s)
        .map(({ sent_s, priority, kind }) => ({
          at_s: Number(sent_s),
          priority: priority as Priority,
          kind: kind as MessageKind,
        })),
    change(ids, change) {
      const columns = Object.entries(change);
      if (ids.length === 0 || columns.length === 0) return;
      const sql = `UPDATE message SET ${columns.map(([name]) => `${name} = ?`).join(", ")} WHERE id = ?`;
      const values = columns.map(([, value]) => (typeof value === "boolean" ? Number(value) : value));
      both.write((database) => {
        for (const id of ids) database.prepare(sql).run(...values, id);
        if (change.state !== "waiting") return;
        for (const id of ids) {
          database
            .prepare(`UPDATE message SET state = 'called-off', reason = '${calledOff}' WHERE id = ? AND calledOff = 1`)
            .run(id);
        }
      });
    },
    journal: (since_s) =>
      memory
        .prepare("SELECT at_s, kind, alarm, occurrence, priority, by FROM journal WHERE at_s >= ? ORDER BY at_s, id")
        .all(since_s) as unknown as JournalEntry[],
    proven: () => memory.prepare("SELECT contact, by, at_s FROM proven").all() as unknown as Proven[],
    prove({ contact, by, at_s }) {
      both.write((database) => {
        database
          .prepare(
            "INSERT INTO proven (contact, by, at_s) VALUES (?, ?, ?) ON CONFLICT (contact, by) DO UPDATE SET at_s = excluded.at_s",
          )
          .run(contact, by, at_s);
      });
    },
    failedProofs: () =>
      memory
        .prepare(
          `SELECT contact, onlyBy, reason, state, max(id), CASE state WHEN 'expired' THEN expires_s
              WHEN 'sent' THEN sent_s ELSE next_s END AS at_s
            FROM message WHERE kind IN ('test', 'proof') AND state NOT IN ('waiting', 'sending') GROUP BY contact, onlyBy`,
        )
        .all()
        // One that was handed on, and then did not arrive, has a reason.
        .filter(({ state, reason }) => state !== "sent" || reason !== null)
        .map(({ contact, onlyBy, at_s, reason }) => ({
          ...{ contact: String(contact), by: String(onlyBy), at_s: Number(at_s) },
          reason: reason === null ? null : String(reason),
        })),
    note(name) {
      const row = memory.prepare("SELECT value FROM note WHERE name = ?").get(name);
      return row === undefined ? null : String(row.value);
    },
    setNote(name, value) {
      both.write((database) => {
        database
          .prepare(
            "INSERT INTO note (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
          )
          .run(name, value);
      });
    },
    retry(at_s) {
      if (at_s - retried_s < retryEvery_s && at_s >= retried_s) return;
      retried_s = at_s;
      both.retry();
    },
    problem: both.problem,
    close: both.close,
  };
}

/** What happened, as the journal keeps it. */
export function journalEntry({ kind, alarm, at_s, by }: AlarmChange, priority: Priority): JournalEntry {
  return { at_s, kind, alarm: alarm.name, occurrence: occurrenceKey(alarm), priority, by };
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
