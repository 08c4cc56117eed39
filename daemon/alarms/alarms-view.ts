// The alarms as the page and the command show them: how each stands, who is told, what was sent, how it performs.

import type { AlarmDefinition } from "../../analysis/alarms/alarm.ts";
import { longestShelf_s } from "../../analysis/alarms/alarm-book.ts";
import { isChattering, isStale, shownState } from "../../analysis/alarms/alarm-record.ts";
import { isActive } from "../../analysis/alarms/alarm-state.ts";
import { alarmPerformance, shortestSpan_s } from "../../analysis/alarms/performance.ts";
import type { ActiveAlarm, AlarmsAnswer } from "../server/alarms-types.ts";
import type { AlarmService } from "./alarm-service.ts";
import type { AlarmsConfig } from "./alarms-config.ts";
import { asideOf } from "./alarms-from-afar.ts";
import type { ChannelAtWork } from "./channels/channel-at-work.ts";
import { deedsOf, historyOf } from "./deeds-shown.ts";
import type { HeartbeatHealth } from "./heartbeat.ts";
import { announced, messagesLookedAt, messagesOf, provenOrNot } from "./outbox-shown.ts";
import type { ServiceBook } from "./service-book.ts";

export interface AlarmsViewParts {
  readonly service: Pick<AlarmService, "alarms" | "outbox">;
  readonly definitions: readonly AlarmDefinition[];
  readonly config: AlarmsConfig;
  readonly channels: ReadonlyMap<string, ChannelAtWork>;
  /** Absent or null where nobody is told that the board lives. */
  heartbeat?(): HeartbeatHealth | null;
  readonly services: ServiceBook;
  readonly now_s: () => number;
}

export function alarmsAnswer({
  service,
  definitions,
  config,
  channels,
  services,
  heartbeat,
  now_s,
}: AlarmsViewParts): AlarmsAnswer {
  const now = now_s();
  const { outbox } = service;
  const journal = outbox.journal(now - shortestSpan_s);
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
        history: historyOf(journal, definition),
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
    service: services.view(),
    aside: asideOf(service.alarms(), definitions),
    done: deedsOf(journal, outbox.messages(messagesLookedAt), definitions),
    performance: alarmPerformance(announced(journal), {
      from_s: now - shortestSpan_s,
      to_s: now,
    }),
  };
}

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
