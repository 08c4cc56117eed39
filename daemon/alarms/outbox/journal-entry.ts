// What happened to an alarm, and which services were entered, as the journal keeps it.

import type { AlarmName, Priority } from "../../../analysis/alarms/alarm.ts";
import { type AlarmChange, changeKinds } from "../../../analysis/alarms/alarm-book.ts";
import { occurrenceKey } from "../../../analysis/alarms/alarm-record.ts";
import { readPriority } from "./message-row.ts";
import { number, numberOrNull, oneOf, type Row, text, textOrNull } from "./row.ts";

/** Beside what happens to alarms: a service was entered, or such an entry taken back; `reason` has its day. */
export const journalKinds = [...changeKinds, "serviced", "service-undone"] as const;

export interface JournalEntry {
  readonly at_s: number;
  readonly kind: (typeof journalKinds)[number];
  readonly alarm: AlarmName;
  readonly occurrence: string;
  readonly priority: Priority;
  readonly by: string | null;
  /** By which way a person did it (`Via`), and why; null: nobody did, or it was not said. */
  readonly via: string | null;
  readonly reason: string | null;
  /** Of shelving: until when. */
  readonly until_s: number | null;
}

/** How a person reaches the alarms: at the page, by a message's link, from afar by the broker, by a channel of that name. */
export type Via = "page" | "link" | "afar" | `channel ${string}`;

export function journalEntry(
  { kind, alarm, at_s, by }: AlarmChange,
  priority: Priority,
  via: Via | null,
  reason: string | null,
): JournalEntry {
  return {
    ...{ at_s, kind, alarm: alarm.name, occurrence: occurrenceKey(alarm), priority, by },
    // Nobody does what an alarm does by itself, though a person's act may bring it about.
    ...(by === null ? { via: null, reason: null } : { via, reason }),
    until_s: kind === "shelved" ? alarm.shelvedUntil_s : null,
  };
}

/** @throws {TypeError} for what is no entry of this version or of one before */
export function readEntry(row: Row): JournalEntry {
  return {
    at_s: number(row, "at_s"),
    kind: oneOf(row, "kind", journalKinds),
    alarm: text(row, "alarm") as AlarmName, // or one that another version had
    occurrence: text(row, "occurrence"),
    priority: readPriority(row),
    by: textOrNull(row, "by"),
    via: textOrNull(row, "via"),
    reason: textOrNull(row, "reason"),
    until_s: numberOrNull(row, "until_s"),
  };
}
