// What is done to the outbox: memory does it, and the card keeps it as the statements that do the same to its database.

import type { AlarmName } from "../../../analysis/alarms/alarm.ts";
import type { JournalEntry } from "./journal-entry.ts";
import { type MessageChange, type MessageRow, messageColumns, plainMessage } from "./message-row.ts";
import type { Proven } from "./proven.ts";
import type { Statement } from "./statement.ts";

export type Deed =
  | { readonly is: "stands"; readonly alarm: AlarmName; readonly json: string }
  | { readonly is: "happened"; readonly entry: JournalEntry }
  | { readonly is: "messages"; readonly messages: readonly MessageRow[] }
  | { readonly is: "change"; readonly id: number; readonly change: MessageChange }
  | { readonly is: "proven"; readonly proven: Proven }
  | { readonly is: "note"; readonly name: string; readonly value: string }
  /** What happened before, and messages of before whose end is known. */
  | { readonly is: "forget"; readonly before_s: number };

const oneMessage = `(${messageColumns.map(() => "?").join(",")})`;

export function statementsOf(deed: Deed): Statement[] {
  switch (deed.is) {
    case "stands":
      return [
        [
          "INSERT INTO standing (alarm, json) VALUES (?, ?) ON CONFLICT (alarm) DO UPDATE SET json = excluded.json",
          ...[deed.alarm, deed.json],
        ],
      ];
    case "happened": {
      const { at_s, kind, alarm, occurrence, priority, by, via, reason, until_s } = deed.entry;
      return [
        [
          "INSERT INTO journal (at_s, kind, alarm, occurrence, priority, by, via, reason, until_s) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
          ...[at_s, kind, alarm, occurrence, priority, by, via, reason, until_s],
        ],
      ];
    }
    case "messages":
      return deed.messages.length === 0 ? [] : [insertion(deed.messages)];
    case "change": {
      const columns = Object.entries(deed.change);
      const values = columns.map(([, value]) => (typeof value === "boolean" ? Number(value) : value));
      const sql = `UPDATE message SET ${columns.map(([name]) => `${name} = ?`).join(", ")} WHERE id = ?`;
      return [[sql, ...values, deed.id]];
    }
    case "proven": {
      const { contact, by, at_s } = deed.proven;
      return [
        [
          "INSERT INTO proven (contact, by, at_s) VALUES (?, ?, ?) ON CONFLICT (contact, by) DO UPDATE SET at_s = excluded.at_s",
          ...[contact, by, at_s],
        ],
      ];
    }
    case "note":
      return [
        [
          "INSERT INTO note (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
          ...[deed.name, deed.value],
        ],
      ];
    case "forget":
      return [
        ["DELETE FROM journal WHERE at_s < ?", deed.before_s],
        ["DELETE FROM message WHERE created_s < ? AND state NOT IN ('waiting', 'sending')", deed.before_s],
      ];
  }
}

/** In one statement: the calls of an alarm then take a page of the card, not two. */
function insertion(messages: readonly MessageRow[]): Statement {
  return [
    `INSERT INTO message (${messageColumns.join(",")}) VALUES ${messages.map(() => oneMessage).join(",")} ON CONFLICT (key) DO NOTHING`,
    ...messages.flatMap(plainMessage),
  ];
}
