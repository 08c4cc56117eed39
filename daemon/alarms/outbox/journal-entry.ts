// What happened to an alarm, as the journal keeps it.

import type { AlarmName, Priority } from "../../../analysis/alarms/alarm.ts";
import { type AlarmChange, changeKinds } from "../../../analysis/alarms/alarm-book.ts";
import { occurrenceKey } from "../../../analysis/alarms/alarm-record.ts";
import { readPriority } from "./message-row.ts";
import { number, oneOf, type Row, text, textOrNull } from "./row.ts";

export interface JournalEntry {
  readonly at_s: number;
  readonly kind: AlarmChange["kind"];
  readonly alarm: AlarmName;
  readonly occurrence: string;
  readonly priority: Priority;
  readonly by: string | null;
}

export function journalEntry({ kind, alarm, at_s, by }: AlarmChange, priority: Priority): JournalEntry {
  return { at_s, kind, alarm: alarm.name, occurrence: occurrenceKey(alarm), priority, by };
}

/** @throws {TypeError} for what is no entry of this version or of one before */
export function readEntry(row: Row): JournalEntry {
  return {
    at_s: number(row, "at_s"),
    kind: oneOf(row, "kind", changeKinds),
    alarm: text(row, "alarm") as AlarmName, // or one that another version had
    occurrence: text(row, "occurrence"),
    priority: readPriority(row),
    by: textOrNull(row, "by"),
  };
}
