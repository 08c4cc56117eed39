// The alarms as the page and the command show them: how each stands, who is told, what was sent, how it performs.

import type { AlarmDefinition } from "../../analysis/alarms/alarm.ts";
import { longestShelf_s } from "../../analysis/alarms/alarm-book.ts";
import { isChattering, isStale, shownState } from "../../analysis/alarms/alarm-record.ts";
import { isActive } from "../../analysis/alarms/alarm-state.ts";
import { type Announcement, alarmPerformance, shortestSpan_s } from "../../analysis/alarms/performance.ts";
import type { ActiveAlarm, AlarmsAnswer } from "../server/api-types.ts";
import type { AlarmService } from "./alarm-service.ts";
import type { AlarmsConfig } from "./alarms-config.ts";
import type { ChannelAtWork } from "./deliver.ts";
import type { HeartbeatHealth } from "./heartbeat.ts";
import type { MessageRow } from "./outbox/message-row.ts";
import type { JournalEntry, Outbox, Proven } from "./outbox/outbox.ts";

export interface AlarmsViewParts {
  readonly service: Pick<AlarmService, "alarms" | "outbox">;
  readonly definitions: readonly AlarmDefinition[];
  readonly config: AlarmsConfig;
  readonly channels: ReadonlyMap<string, ChannelAtWork>;
  /** Absent or null where nobody is told that the board lives. */
  heartbeat?(): HeartbeatHealth | null;
  readonly now_s: () => number;
}

const messagesShown = 60;
const messagesLookedAt = 400;

export function alarmsAnswer({
  service,
  definitions,
  config,
  channels,
  heartbeat,
  now_s,
}: AlarmsViewParts): AlarmsAnswer {
  const now = now_s();
  const { outbox } = service;
  return {
    now_s: now,
    alarms: definitions.map((definition) => {
      const record = service.alarms().find(({ name }) => name === definition.name);
      if (record === undefined) throw new RangeError(`alarms: ${definition.name} is not in the book`);
      const { name, title, priority, rationale, cause, consequence, whatToDo, respondWithin_s } = definition;
      const { from_s, to_s, acknowledged, shelvedUntil_s, shelved, takenOut } = record;
      return {
        ...{ name, title, priority, rationale, cause, consequence, whatToDo, respondWithin_s },
        ...{ onDelay_s: definition.onDelay_s, offDelay_s: definition.offDelay_s, latching: definition.latching },
        ...{ state: shownState(record), from_s, to_s, acknowledged, shelvedUntil_s, shelved, takenOut },
        longestShelf_s: longestShelf_s[priority],
        told: config.changes[name]?.tell !== false,
        chattering: isChattering(record, now),
        stale: isStale(record, now),
      };
    }),
    contacts: config.contacts.map(({ name, reach, quiet }) => ({
      name,
      quiet,
      ways: reach.map(({ by, to }) => ({
        by,
        to: shortened(to),
        ...provenOrNot(outbox, name, by),
        ...(channels.get(by)?.channel.health(to) ?? { problem: `no channel is called ${by}`, note: null }),
      })),
    })),
    call: config.call,
    callAgain: config.callAgain,
    cardProblem: outbox.problem(),
    heartbeat: heartbeat?.() ?? null,
    messages: messagesOf(outbox).map((row) => ({
      ...{
        id: row.id,
        kind: row.kind,
        alarm: row.alarm,
        contact: row.contact,
        onlyBy: row.onlyBy,
        priority: row.priority,
        state: row.state,
      },
      ...{ due_s: row.due_s, next_s: row.next_s, sent_s: row.sent_s, sentBy: row.sentBy, delivered_s: row.delivered_s },
      ...{ tries: row.tries, maybeSent: row.maybeSent, joinedTo: row.joinedTo, reason: row.reason },
    })),
    performance: alarmPerformance(announced(outbox.journal(now - shortestSpan_s)), {
      from_s: now - shortestSpan_s,
      to_s: now,
    }),
  };
}

/** When a way was last proven, and what became of a test since. */
function provenOrNot(outbox: Outbox, contact: string, by: string) {
  const isThis = (each: Proven) => each.contact === contact && each.by === by;
  const proven_s = outbox.proven().find(isThis)?.at_s ?? null;
  const failed = outbox.failedProofs().find(isThis) ?? null;
  if (failed === null || failed.at_s <= (proven_s ?? Number.NEGATIVE_INFINITY)) return { proven_s, failed: null };
  return { proven_s, failed: { at_s: failed.at_s, reason: failed.reason } };
}

/** Calls that were never made, since somebody had answered, are no news; of those ahead only each contact's next is. */
function messagesOf(outbox: Outbox): MessageRow[] {
  const rows = outbox.messages(messagesLookedAt);
  const isAhead = ({ kind, state, tries }: MessageRow) => kind === "again" && state === "waiting" && tries === 0;
  const next = new Map(rows.filter(isAhead).map((row) => [`${row.occurrence} ${row.contact}`, row.id]));
  return rows
    .filter(({ state, tries }) => state !== "called-off" || tries > 0)
    .filter((row) => !isAhead(row) || next.get(`${row.occurrence} ${row.contact}`) === row.id)
    .slice(0, messagesShown);
}

/** Each from its announcement to its end. */
function announced(journal: readonly JournalEntry[]): Announcement[] {
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

/** What is true now, for the page's first view. */
export function activeAlarms(parts: Pick<AlarmsViewParts, "service" | "definitions">): ActiveAlarm[] {
  const rank = { high: 0, medium: 1, low: 2 };
  return parts.service
    .alarms()
    .filter(
      ({ state }) => isActive(state) || state === "returned-to-normal-unacknowledged" || state.startsWith("latched"),
    )
    .flatMap((record) => {
      const definition = parts.definitions.find(({ name }) => name === record.name);
      if (definition === undefined || record.from_s === null) return [];
      const { name, title, priority, whatToDo } = definition;
      const { from_s, to_s, acknowledged } = record;
      return [
        {
          name,
          title,
          priority,
          whatToDo,
          state: shownState(record),
          from_s,
          to_s,
          acknowledgedBy: acknowledged?.by ?? null,
        },
      ];
    })
    .toSorted((a, b) => rank[a.priority] - rank[b.priority] || a.from_s - b.from_s);
}

/** Enough to know which one it is: whoever sees the page need not learn numbers and addresses from it. */
function shortened(to: string): string {
  if (/^\+?[\d\s().-]+$/.test(to)) return `…${to.replaceAll(/\D/g, "").slice(-3)}`;
  const [name = "", host] = to.split("@");
  if (host !== undefined) return `${name.slice(0, 1)}…@${host}`;
  return URL.canParse(to) ? new URL(to).host : to;
}
