// The durable memory of the alarms: how each stands, what happened, and every message until it is known what became of it.
// A file of its own beside the record. What is written is on the card when the call returns; it is written before it is
// tried, so that a process that ends at any instruction loses no message.

import type { AlarmName } from "../../../analysis/alarms/alarm.ts";
import type { AlarmRecord } from "../../../analysis/alarms/alarm-record.ts";
import { type Ahead, openCardAndMemory } from "./card-and-memory.ts";
import type { Deed } from "./deed.ts";
import type { JournalEntry } from "./journal-entry.ts";
import type { MessageChange, MessageKind, MessageRow, NewMessage } from "./message-row.ts";
import type { FailedProof, Proven } from "./proven.ts";

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
  /** As CardAndMemory: puts on the card, ahead of its time, what the work writes. */
  ahead<Result>(work: () => Result | null): Ahead<Result> | null;
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
  ): { readonly at_s: number; readonly priority: MessageRow["priority"]; readonly kind: MessageKind }[];
  change(ids: readonly number[], change: Omit<MessageChange, "calledOff">): void;
  journal(since_s: number): JournalEntry[];
  proven(): Proven[];
  prove(proven: Proven): void;
  failedProofs(): FailedProof[];
  /** Brings to the card what it did not take, and lets go what is old; looks seldom. */
  tend(now_s: number): void;
  /** Why the card takes nothing, so that a power cut now would lose what is new; null while it does. */
  problem(): string | null;
  /** A note of the daemon's own, such as when the last proof went out. */
  note(name: string): string | null;
  setNote(name: string, value: string): void;
  close(): void;
}

/** Ended messages and what happened are kept for so long: the figures of alarm management look at 30 days and more. */
const kept_s = 400 * 86_400;
const forgetEvery_s = 86_400;
const tendEvery_s = 10;
const isCalledOff = { state: "called-off", reason: "answered, over or put aside before it was due" } as const;

export interface OutboxOptions {
  now_s?(): number;
  log?(line: string): void;
  /** For tests: a write that takes longer is one of a card that fails. */
  readonly slowAfter_ms?: number;
}

/**
 * Opens or makes the file. One that is damaged or not ours is set aside; while none can be written, memory has what it
 * would have.
 *
 * @param path null: it need not last, and has no file
 */
export function openOutbox(
  path: string | null,
  { now_s = () => Date.now() / 1000, log = () => {}, ...rest }: OutboxOptions = {},
): Outbox {
  const both = openCardAndMemory(path, { now_s, log, ...rest });
  const { memory, write } = both;
  const { messages } = memory;
  const now = now_s();
  /** As kept: a record that is the same object has not changed. */
  let standing = new Map<AlarmName, AlarmRecord>();
  let tended_s = now;
  let forgotten_s = now - forgetEvery_s;

  // What the card is like is known before an alarm is to be written.
  write([{ is: "note", name: "started", value: String(now) }]);

  const contactsOf = (rows: readonly MessageRow[]) => [...new Set(rows.map(({ contact }) => contact))];

  function howItStands(alarm: AlarmRecord): Deed[] {
    if (standing.get(alarm.name) === alarm) return [];
    standing.set(alarm.name, alarm);
    const json = JSON.stringify(alarm);
    return memory.standing.get(alarm.name) === json ? [] : [{ is: "stands", alarm: alarm.name, json }];
  }

  /** One that is under way, or whose receipt may still say that it did not arrive, is not tried again. */
  function calledOff(occurrence: string, after_s: number): Deed[] {
    return messages.of(occurrence).flatMap(({ id, state, kind, due_s }): Deed[] => {
      if (kind === "over" || (due_s <= after_s && kind !== "again")) return [];
      if (state === "waiting") return [{ is: "change", id, change: { calledOff: true, ...isCalledOff } }];
      return state === "sending" || state === "sent" ? [{ is: "change", id, change: { calledOff: true } }] : [];
    });
  }

  function made(message: NewMessage, at_s: number): MessageRow {
    for (const [name, time_s] of Object.entries({ due_s: message.due_s, expires_s: message.expires_s, at_s }))
      if (!Number.isFinite(time_s)) throw new RangeError(`outbox: ${name}: expected a time, found ${time_s}`);
    return {
      ...message,
      ...{ id: memory.nextId(), origin: both.identity(), created_s: at_s, next_s: message.due_s },
      ...{ state: "waiting", way: 0, tries: 0, maybeSent: false, joinedTo: null, sent_s: null, sentBy: null },
      ...{ delivered_s: null, reason: null, calledOff: false },
    };
  }

  return {
    alarms: () => Array.from(memory.standing.values(), (json) => JSON.parse(json)),
    keep({ alarms, journal = [], messages: all = [], callOff = [], now_s: at_s }) {
      const isNew = all.filter(
        ({ key }, i) => !messages.hasKey(key) && all.findIndex((each) => each.key === key) === i,
      );
      write([
        { is: "messages", messages: isNew.map((message) => made(message, at_s)) },
        ...alarms.flatMap(howItStands),
        ...journal.map((entry): Deed => ({ is: "happened", entry })),
        ...callOff.flatMap(({ occurrence, after_s }) => calledOff(occurrence, after_s)),
      ]);
    },
    together: both.together,
    ahead(work) {
      const before = standing;
      standing = new Map(before);
      try {
        return both.ahead(work);
      } finally {
        standing = before;
      }
    },
    waiting: messages.waiting,
    message: messages.get,
    messages: (limit) => messages.all().slice(-limit).reverse(),
    undelivered: (since_s, dueBy_s) =>
      messages.all().filter(({ created_s, alarm, state, tries, due_s }) => {
        const isGivenUp = state === "expired" || state === "refused";
        const fails = state === "waiting" && tries > 0 && due_s <= dueBy_s;
        return created_s >= since_s && alarm !== null && (isGivenUp || fails);
      }).length,
    joined: (id) => messages.joinedTo(id).map(({ occurrence }) => occurrence),
    joinedIds: (id) => messages.joinedTo(id).map((message) => message.id),
    calledFor: (occurrence) => contactsOf(messages.of(occurrence)),
    sentOf(occurrence) {
      const ways = messages
        .of(occurrence)
        .flatMap(({ state, contact, sentBy }) =>
          state === "sent" && sentBy !== null ? [{ contact, by: sentBy }] : [],
        );
      return ways.filter(
        (way, i) => ways.findIndex((each) => each.contact === way.contact && each.by === way.by) === i,
      );
    },
    toldOf: (occurrence, time_s) =>
      contactsOf(
        messages.of(occurrence).filter(({ state, maybeSent, due_s, priority }) => {
          const isAboutToBe = state === "waiting" && due_s <= time_s && priority === "high";
          return state === "sent" || state === "sending" || maybeSent || isAboutToBe;
        }),
      ),
    sentSince: (contact, since_s) =>
      messages
        .sentSince(contact, since_s)
        .flatMap(({ sent_s, priority, kind }) => (sent_s === null ? [] : [{ at_s: sent_s, priority, kind }])),
    change(ids, change) {
      write(
        ids.map((id): Deed => {
          const stays = change.state === "waiting" && messages.get(id)?.calledOff === true;
          return { is: "change", id, change: stays ? { ...change, ...isCalledOff } : change };
        }),
      );
    },
    journal: (since_s) =>
      memory
        .journal()
        .filter(({ at_s }) => at_s >= since_s)
        .sort((a, b) => a.at_s - b.at_s),
    proven: memory.proven,
    prove: (proven) => write([{ is: "proven", proven }]),
    failedProofs: messages.failedProofs,
    note: memory.note,
    setNote: (name, value) => write([{ is: "note", name, value }]),
    tend(at_s) {
      if (at_s - tended_s < tendEvery_s && at_s >= tended_s) return;
      tended_s = at_s;
      both.retry();
      if (Math.abs(at_s - forgotten_s) < forgetEvery_s) return;
      forgotten_s = at_s;
      write([{ is: "forget", before_s: at_s - kept_s }]);
    },
    problem: both.problem,
    close: both.close,
  };
}
