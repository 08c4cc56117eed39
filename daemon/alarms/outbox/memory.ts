// The outbox in memory: what is on its card, as objects. Whoever asks is answered from here, also while the card takes
// nothing; on the way of an alarm a database would take longer than all the rest.

import type { DatabaseSync } from "node:sqlite";
import type { AlarmName } from "../../../analysis/alarms/alarm.ts";
import { type Deed, statementsOf } from "./deed.ts";
import { type JournalEntry, readEntry } from "./journal-entry.ts";
import { type MessageRow, readMessage } from "./message-row.ts";
import { createMessageTable, type MessageTable } from "./message-table.ts";
import { type Proven, readProven } from "./proven.ts";
import { number, type Row, text } from "./row.ts";
import type { Statement } from "./statement.ts";

export interface Memory {
  readonly messages: MessageTable;
  /** How each alarm stands, as JSON. */
  readonly standing: ReadonlyMap<AlarmName, string>;
  readonly journal: () => readonly JournalEntry[];
  readonly proven: () => Proven[];
  note(name: string): string | null;
  do(deed: Deed): void;
  /** Whatever is done during the work is undone after it, and its numbers are given again. */
  tentatively<Result>(work: () => Result): Result;
  /** Of a new message. */
  nextId(): number;
  /** Numbers that people may have been given are not given again. */
  skipNumbers(count: number): void;
  /**
   * Adds what a database has; of what is in both, memory's own stays. An attempt that was under way when the process
   * before ended may have left or not: it is tried again, and that is said.
   *
   * @returns whether each row could be read, and whether memory now says what the database does
   */
  takeIn(database: DatabaseSync, now_s: number): { readonly isWhole: boolean; readonly isSame: boolean };
  /** What makes an empty database hold what memory does. */
  statements(): Statement[];
}

export function createMemory(): Memory {
  const messages = createMessageTable();
  const standing = new Map<AlarmName, string>();
  const notes = new Map<string, string>();
  const proven = new Map<string, Proven>();
  let journal: JournalEntry[] = [];
  let lastId = 0;
  /** How to undo what a tentative work has done so far; null: what is done stays. */
  let undoing: (() => void)[] | null = null;

  const wayOf = ({ contact, by }: Proven) => JSON.stringify([contact, by]);

  /** To be asked before it is done. What was forgotten stays so: nobody asks for it. */
  function undoingOf(deed: Deed): () => void {
    switch (deed.is) {
      case "stands":
        return asBefore(standing, deed.alarm);
      case "note":
        return asBefore(notes, deed.name);
      case "proven":
        return asBefore(proven, wayOf(deed.proven));
      case "happened":
        return () => void journal.pop();
      case "messages":
        return () => {
          for (const { id } of deed.messages) messages.remove(id);
        };
      case "change": {
        const before = messages.get(deed.id);
        return () => before !== null && messages.change(deed.id, before);
      }
      case "forget":
        return () => {};
    }
  }

  return {
    messages,
    standing,
    journal: () => journal,
    proven: () => [...proven.values()],
    note: (name) => notes.get(name) ?? null,
    do(deed) {
      undoing?.push(undoingOf(deed));
      if (deed.is === "stands") standing.set(deed.alarm, deed.json);
      if (deed.is === "happened") journal.push(deed.entry);
      if (deed.is === "messages")
        for (const message of deed.messages) {
          messages.add(message);
          lastId = Math.max(lastId, message.id);
        }
      if (deed.is === "change") messages.change(deed.id, deed.change);
      if (deed.is === "proven") proven.set(wayOf(deed.proven), deed.proven);
      if (deed.is === "note") notes.set(deed.name, deed.value);
      if (deed.is === "forget") {
        messages.forget(deed.before_s);
        journal = journal.filter(({ at_s }) => at_s >= deed.before_s);
      }
    },
    tentatively(work) {
      const steps: (() => void)[] = [];
      undoing = steps;
      const given = lastId;
      try {
        return work();
      } finally {
        undoing = null;
        lastId = given;
        for (const undo of steps.reverse()) undo();
      }
    },
    nextId: () => ++lastId,
    skipNumbers(count) {
      lastId += count;
    },
    takeIn(database, now_s) {
      let isWhole = true;
      const rows = <Item>(table: string, read: (row: Row) => Item): Item[] =>
        database
          .prepare(`SELECT * FROM ${table} ORDER BY rowid`)
          .all()
          .flatMap((row) => {
            try {
              return [read(row)];
            } catch {
              isWhole = false;
              return [];
            }
          });
      const pairs = (table: string, name: string, value: string) =>
        rows(table, (row) => [text(row, name), text(row, value)] as const);
      for (const [alarm, json] of pairs("standing", "alarm", "json"))
        if (!standing.has(alarm as AlarmName)) standing.set(alarm as AlarmName, json);
      for (const [name, value] of pairs("note", "name", "value")) if (!notes.has(name)) notes.set(name, value);
      for (const way of rows("proven", readProven)) if (!proven.has(wayOf(way))) proven.set(wayOf(way), way);
      journal = [...rows("journal", readEntry), ...journal];
      lastId = Math.max(lastId, ...rows("sqlite_sequence", (row) => number(row, "seq")));
      const found = rows("message", readMessage);
      const left = found.map((message) => leftBehind(message, now_s));
      for (const message of left) messages.add(message);
      return { isWhole, isSame: left.every((message, i) => message === found[i]) };
    },
    statements: () => [
      ...Array.from(standing, ([alarm, json]): Deed => ({ is: "stands", alarm, json })).flatMap(statementsOf),
      ...journal.flatMap((entry) => statementsOf({ is: "happened", entry })),
      ...messages.all().flatMap((message) => statementsOf({ is: "messages", messages: [message] })),
      ...[...proven.values()].flatMap((way) => statementsOf({ is: "proven", proven: way })),
      ...Array.from(notes, ([name, value]): Deed => ({ is: "note", name, value })).flatMap(statementsOf),
      ["DELETE FROM sqlite_sequence"],
      ["INSERT INTO sqlite_sequence VALUES ('message', ?)", lastId],
    ],
  };
}

function asBefore<Key, Value>(map: Map<Key, Value>, key: Key): () => void {
  const before = map.get(key);
  return () => void (before === undefined ? map.delete(key) : map.set(key, before));
}

function leftBehind(message: MessageRow, now_s: number): MessageRow {
  const { state, calledOff, created_s } = message;
  if (state === "sending") {
    const again = { ...message, state: calledOff ? "called-off" : "waiting", maybeSent: true } as const;
    return leftBehind(again, now_s);
  }
  if (state !== "waiting" || created_s <= now_s) return message;
  // A clock that was set back while nothing ran: what waits is no older than now, and does not wait for that time again.
  const due_s = message.due_s - (created_s - now_s);
  return { ...message, due_s, next_s: due_s, expires_s: message.expires_s - (created_s - now_s), created_s: now_s };
}
