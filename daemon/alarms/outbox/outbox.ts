// The durable memory of the alarms: how each stands, what happened, and every message until it is known what became of it.
// A file of its own beside the record. What is written is on the card when the call returns; it is written before it is
// tried, so that a process that ends at any instruction loses no message.

import type { AlarmName, Priority } from "../../../analysis/alarms/alarm.ts";
import { type AlarmChange, changeKinds } from "../../../analysis/alarms/alarm-book.ts";
import { type AlarmRecord, occurrenceKey } from "../../../analysis/alarms/alarm-record.ts";
import { openCardAndMemory } from "./card-and-memory.ts";
import {
  type MessageKind,
  type MessageRow,
  messageKinds,
  type NewMessage,
  readMessage,
  readPriority,
} from "./message-row.ts";
import { number, oneOf, type Row, text, textOrNull } from "./row.ts";
import type { Statement } from "./statement.ts";

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
  /** What is written during the work goes onto the card in one piece; what it sends must leave afterwards. */
  together<Result>(work: () => Result): Result;
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
  /** Who was told of an occurrence, and by which channels. */
  sentOf(occurrence: string): { readonly contact: string; readonly by: string }[];
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
const forgetEvery_s = 86_400;
const retryEvery_s = 10;
const calledOff = "acknowledged, or over before it was due";

export interface OutboxOptions {
  now_s?(): number;
  log?(line: string): void;
  /** For tests: a write that takes longer is one of a card that fails. */
  readonly slowAfter_ms?: number;
}

/**
 * Opens or makes the file. One that is damaged or not ours is set aside; while none can be written, memory has what it
 * would have.
 */
export function openOutbox(
  path: string,
  { now_s = () => Date.now() / 1000, log = () => {}, ...rest }: OutboxOptions = {},
): Outbox {
  const both = openCardAndMemory(path, { now_s, log, ...rest });
  const { ask, write } = both;
  const now = now_s();
  both.together(() => {
    // An attempt that was under way when the process ended: nobody knows whether it left.
    write([
      ["UPDATE message SET state = iif(calledOff, 'called-off', 'waiting'), maybeSent = 1 WHERE state = 'sending'"],
    ]);
    // A clock that was set back while nothing ran: what waits is no older than now, and does not wait for that time again.
    write([
      [
        `UPDATE message SET due_s = due_s - (created_s - ?1), next_s = due_s - (created_s - ?1),
          expires_s = expires_s - (created_s - ?1), created_s = ?1 WHERE state = 'waiting' AND created_s > ?1`,
        now,
      ],
    ]);
  });
  /** As kept: a record that is the same object has not changed. */
  const standing = new Map<AlarmName, AlarmRecord>();
  let retried_s = now;
  let forgotten_s = Number.NEGATIVE_INFINITY;

  const message = (id: number) => ask("SELECT * FROM message WHERE id = ?").all(id).map(readMessage)[0] ?? null;
  const texts = (sql: string, column: string, value: string | number) =>
    ask(sql)
      .all(value)
      .map((row) => String(row[column]));

  /** What is old goes, once in a while. */
  function oldOnes(at_s: number): Statement[] {
    if (Math.abs(at_s - forgotten_s) < forgetEvery_s) return [];
    forgotten_s = at_s;
    return [
      ["DELETE FROM journal WHERE at_s < ?", at_s - kept_s],
      ["DELETE FROM message WHERE created_s < ? AND state NOT IN ('waiting', 'sending')", at_s - kept_s],
    ];
  }

  return {
    alarms: () =>
      ask("SELECT json FROM standing")
        .all()
        .map((row) => JSON.parse(text(row, "json"))),
    keep({ alarms, journal = [], messages = [], callOff = [], now_s: at_s }) {
      write([
        ...alarms
          .filter((alarm) => standing.get(alarm.name) !== alarm)
          .map(
            (alarm): Statement => [
              "INSERT INTO standing (alarm, json) VALUES (?, ?) ON CONFLICT (alarm) DO UPDATE SET json = excluded.json",
              ...[alarm.name, JSON.stringify(alarm)],
            ],
          ),
        ...journal.map(
          (each): Statement => [
            "INSERT INTO journal (at_s, kind, alarm, occurrence, priority, by) VALUES (?, ?, ?, ?, ?, ?)",
            ...[each.at_s, each.kind, each.alarm, each.occurrence, each.priority, each.by],
          ],
        ),
        // One that is under way, or whose receipt may still say that it did not arrive, is not tried again.
        ...callOff.map(
          ({ occurrence, after_s }): Statement => [
            `UPDATE message SET calledOff = 1, reason = iif(state = 'waiting', '${calledOff}', reason),
              state = iif(state = 'waiting', 'called-off', state)
              WHERE occurrence = ? AND (due_s > ? OR kind = 'again') AND state IN ('waiting', 'sending', 'sent') AND kind <> 'over'`,
            ...[occurrence, after_s],
          ],
        ),
        ...messages.map((each) => insertion(each, both.identity(), at_s)),
        ...(journal.length > 0 ? oldOnes(at_s) : []),
      ]);
      for (const alarm of alarms) standing.set(alarm.name, alarm);
    },
    together: both.together,
    waiting: () => ask("SELECT * FROM message WHERE state = 'waiting' ORDER BY id").all().map(readMessage),
    message,
    messages: (limit) => ask("SELECT * FROM message ORDER BY id DESC LIMIT ?").all(limit).map(readMessage),
    undelivered: (since_s, dueBy_s) =>
      Number(
        ask(
          `SELECT count(*) AS n FROM message WHERE created_s >= ? AND alarm IS NOT NULL
            AND (state IN ('expired', 'refused') OR (state = 'waiting' AND tries > 0 AND due_s <= ?))`,
        ).get(since_s, dueBy_s)?.n,
      ),
    joined: (id) => texts("SELECT occurrence FROM message WHERE joinedTo = ?", "occurrence", id),
    calledFor: (occurrence) =>
      texts("SELECT DISTINCT contact FROM message WHERE occurrence = ?", "contact", occurrence),
    joinedIds: (id) => texts("SELECT id FROM message WHERE joinedTo = ?", "id", id).map(Number),
    sentOf: (occurrence) =>
      ask("SELECT DISTINCT contact, sentBy AS by FROM message WHERE occurrence = ? AND state = 'sent'")
        .all(occurrence)
        .map((row) => ({ contact: text(row, "contact"), by: text(row, "by") })),
    toldOf: (occurrence, now_s) =>
      ask(
        `SELECT DISTINCT contact FROM message WHERE occurrence = ? AND (state IN ('sent', 'sending') OR maybeSent = 1
          OR (state = 'waiting' AND due_s <= ? AND priority = 'high'))`,
      )
        .all(occurrence, now_s)
        .map(({ contact }) => String(contact)),
    sentSince: (contact, since_s) =>
      ask(
        "SELECT sent_s AS at_s, priority, kind FROM message WHERE contact = ? AND sent_s >= ? AND joinedTo IS NULL AND kind NOT IN ('test', 'proof') ORDER BY sent_s",
      )
        .all(contact, since_s)
        .map((row) => ({
          at_s: number(row, "at_s"),
          priority: readPriority(row),
          kind: oneOf(row, "kind", messageKinds),
        })),
    change(ids, change) {
      const columns = Object.entries(change);
      if (ids.length === 0 || columns.length === 0) return;
      const sql = `UPDATE message SET ${columns.map(([name]) => `${name} = ?`).join(", ")} WHERE id = ?`;
      const values = columns.map(([, value]) => (typeof value === "boolean" ? Number(value) : value));
      write([
        ...ids.map((id): Statement => [sql, ...values, id]),
        ...(change.state === "waiting" ? ids : []).map(
          (id): Statement => [
            `UPDATE message SET state = 'called-off', reason = '${calledOff}' WHERE id = ? AND calledOff = 1`,
            id,
          ],
        ),
      ]);
    },
    journal: (since_s) =>
      ask("SELECT at_s, kind, alarm, occurrence, priority, by FROM journal WHERE at_s >= ? ORDER BY at_s, id")
        .all(since_s)
        .map((row) => ({
          at_s: number(row, "at_s"),
          kind: oneOf(row, "kind", changeKinds),
          alarm: text(row, "alarm") as AlarmName, // or one that another version had
          occurrence: text(row, "occurrence"),
          priority: readPriority(row),
          by: textOrNull(row, "by"),
        })),
    proven: () => ask("SELECT contact, by, at_s FROM proven").all().map(provenOf),
    prove({ contact, by, at_s }) {
      write([
        [
          "INSERT INTO proven (contact, by, at_s) VALUES (?, ?, ?) ON CONFLICT (contact, by) DO UPDATE SET at_s = excluded.at_s",
          ...[contact, by, at_s],
        ],
      ]);
    },
    failedProofs: () =>
      ask(
        `SELECT contact, onlyBy AS by, reason, state, max(id), CASE state WHEN 'expired' THEN expires_s
            WHEN 'sent' THEN sent_s ELSE next_s END AS at_s
          FROM message WHERE kind IN ('test', 'proof') AND state NOT IN ('waiting', 'sending') GROUP BY contact, onlyBy`,
      )
        .all()
        // One that was handed on, and then did not arrive, has a reason.
        .filter(({ state, reason }) => state !== "sent" || reason !== null)
        .map((row) => ({ ...provenOf(row), reason: textOrNull(row, "reason") })),
    note(name) {
      const row = ask("SELECT value FROM note WHERE name = ?").get(name);
      return row === undefined ? null : String(row.value);
    },
    setNote(name, value) {
      write([
        [
          "INSERT INTO note (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
          ...[name, value],
        ],
      ]);
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

function provenOf(row: Row): Proven {
  return { contact: text(row, "contact"), by: text(row, "by"), at_s: number(row, "at_s") };
}

function insertion(message: NewMessage, origin: string, now_s: number): Statement {
  const { key, kind, alarm, occurrence, priority, contact, onlyBy, due_s, expires_s, from_s, to_s, facts } = message;
  return [
    `INSERT INTO message (key, kind, alarm, occurrence, priority, contact, onlyBy, due_s, expires_s, from_s, to_s, facts,
      origin, created_s, next_s) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (key) DO NOTHING`,
    ...[key, kind, alarm, occurrence, priority, contact, onlyBy, due_s, expires_s, from_s, to_s],
    ...[JSON.stringify(facts), origin, now_s, due_s],
  ];
}
