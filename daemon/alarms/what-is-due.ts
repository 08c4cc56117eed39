// Which of a contact's messages go now, as one: quiet hours, what the contact wants in an hour, and what waits together.
// Pure, but for what has left in the last hour.

import type { Priority } from "../../analysis/alarms/alarm.ts";
import type { Contact } from "./alarms-config.ts";
import type { HouseTime } from "./house-time.ts";
import type { MessageRow } from "./outbox/message-row.ts";
import type { Outbox } from "./outbox/outbox.ts";
import { notInQuietHours } from "./quiet-hours.ts";

const rank: Readonly<Record<Priority, number>> = { high: 0, medium: 1, low: 2 };
const longestGathering_s = 120;
const urgentAllTheSame_s = 600;

/** Those that go now; else when to look again. */
export function whatIsDue(
  rows: readonly MessageRow[],
  contact: Contact,
  now: number,
  { outbox, house }: { readonly outbox: Pick<Outbox, "sentSince">; readonly house: HouseTime },
): { readonly ready: MessageRow[]; readonly next_s: number } {
  // What was tried in vain, or came too often, keeps to quiet hours as what is new does.
  const at_s = (row: MessageRow) =>
    isAskedFor(row)
      ? row.next_s
      : notInQuietHours(Math.max(row.next_s, Math.min(now, row.expires_s)), contact, row.priority, house);
  const isDue = (row: MessageRow) => row.next_s <= now && at_s(row) <= now;
  const open = rows.filter(({ alarm }) => alarm !== null);
  const tests = rows.filter((row) => row.alarm === null && isDue(row));
  const next_s = Math.min(...rows.map((row) => Math.max(row.next_s, at_s(row))));
  if (!open.some(isDue)) return { ready: tests.slice(0, 1), next_s };
  const isAnyUrgent = open.some((row) => isUrgent(row) && isDue(row));
  const free_s = freeAgain(contact, isAnyUrgent, now, outbox);
  if (free_s > now) return { ready: tests.slice(0, 1), next_s: free_s };
  // What has begun and only waits for others to gather goes along; a later call of the escalation with another alone, and a
  // further round with whatever else is said of the same.
  const due = open.filter(isDue);
  const isCalling = due.some(isLaterCall);
  const isSaidNow = ({ kind, occurrence }: MessageRow) =>
    kind === "again" && due.some((each) => each.occurrence === occurrence);
  const goesAlong = (row: MessageRow) => isNear(row, now) && (!isLaterCall(row) || isCalling || isSaidNow(row));
  return { ready: open.filter((row) => isDue(row) || goesAlong(row)), next_s };
}

/**
 * When the contact may be told again: what is urgent has an allowance of its own, and when that is used up one message now
 * and then, for the next hour's may be the one that matters.
 */
function freeAgain(contact: Contact, urgent: boolean, now: number, outbox: Pick<Outbox, "sentSince">): number {
  const sent = outbox
    .sentSince(contact.name, now - 3600)
    .filter((each) => each.at_s <= now && isUrgent(each) === urgent);
  const oldest = sent.at(-contact.mostAnHour);
  if (oldest === undefined) return now;
  const last_s = sent.at(-1)?.at_s ?? now;
  return Math.min(oldest.at_s + 3600, urgent ? last_s + urgentAllTheSame_s : Number.POSITIVE_INFINITY);
}

/** Not tried yet, and due within the time in which others may gather. */
function isNear(row: MessageRow, now: number): boolean {
  return row.tries === 0 && row.due_s - now <= longestGathering_s;
}

/** Of a further step or round, or when quiet hours end. */
function isLaterCall(row: MessageRow): boolean {
  return row.due_s - row.created_s > longestGathering_s;
}

/** Whoever it goes to is awake. */
function isAskedFor({ kind }: MessageRow): boolean {
  return kind === "test" || kind === "in-vain";
}

/** What cannot wait; the end of something can. */
export function isUrgent({ priority, kind }: Pick<MessageRow, "priority" | "kind">): boolean {
  return priority === "high" && kind !== "over";
}

/** In which order contacts are told: the lowest first. */
export function urgency(rows: readonly MessageRow[], now: number): number {
  return Math.min(...rows.map((row) => (row.next_s <= now ? rank[row.priority] : 3)));
}
