// What of the outbox is worth showing: whether a way is proven, messages, and what was announced from when to when.

import type { Announcement } from "../../analysis/alarms/performance.ts";
import type { JournalEntry } from "./outbox/journal-entry.ts";
import type { MessageRow } from "./outbox/message-row.ts";
import type { Outbox } from "./outbox/outbox.ts";
import type { Proven } from "./outbox/proven.ts";

const messagesShown = 60;
export const messagesLookedAt = 400;

/** When a way was last proven, and what became of a test since. */
export function provenOrNot(outbox: Outbox, contact: string, by: string) {
  const isThis = (each: Proven) => each.contact === contact && each.by === by;
  const proven_s = outbox.proven().find(isThis)?.at_s ?? null;
  const failed = outbox.failedProofs().find(isThis) ?? null;
  if (failed === null || failed.at_s <= (proven_s ?? Number.NEGATIVE_INFINITY)) return { proven_s, failed: null };
  return { proven_s, failed: { at_s: failed.at_s, reason: failed.reason } };
}

/** Calls that were never made, since somebody had answered, are no news; of those ahead only each contact's next is. */
export function messagesOf(outbox: Outbox): MessageRow[] {
  const rows = outbox.messages(messagesLookedAt);
  const isAhead = ({ kind, state, tries }: MessageRow) => kind === "again" && state === "waiting" && tries === 0;
  const next = new Map(rows.filter(isAhead).map((row) => [`${row.occurrence} ${row.contact}`, row.id]));
  return rows
    .filter(({ state, tries }) => state !== "called-off" || tries > 0)
    .filter((row) => !isAhead(row) || next.get(`${row.occurrence} ${row.contact}`) === row.id)
    .slice(0, messagesShown);
}

/** Each from its announcement to its end. */
export function announced(journal: readonly JournalEntry[]): Announcement[] {
  const found: Announcement[] = [];
  const ended = new Map<string, number>();
  for (const { kind, at_s, alarm, priority, occurrence } of journal.toReversed()) {
    if (kind === "raised") found.push({ at_s, alarm, priority, to_s: ended.get(occurrence) ?? null });
    if (ends.has(kind)) ended.set(occurrence, at_s);
  }
  return found.toReversed();
}

/** Said by its cause, it may be over without a word. */
const ends: ReadonlySet<JournalEntry["kind"]> = new Set(["over", "shelved", "out-of-service", "suppressed", "raised"]);
