// How the alarms go on after a restart: by a clock that may have been set back, with contacts that may be others, and with
// what sounded until somebody knows.

import type { AlarmDefinition, AlarmName } from "../../analysis/alarms/alarm.ts";
import { longestShelf_s } from "../../analysis/alarms/alarm-book.ts";
import { type AlarmRecord, occurrenceKey } from "../../analysis/alarms/alarm-record.ts";
import { withheldAs } from "../../analysis/alarms/alarm-state.ts";
import type { AlarmsConfig } from "./alarms-config.ts";
import type { ChannelAtWork } from "./channels/channel-at-work.ts";
import type { HouseTime } from "./house-time.ts";
import type { NewMessage } from "./outbox/message-row.ts";
import type { Outbox } from "./outbox/outbox.ts";
import { planMessages } from "./plan-messages.ts";

/** As kept before a clock was set back: nothing has begun that lies ahead. */
export function notAhead(
  record: AlarmRecord,
  priority: AlarmDefinition["priority"] | undefined,
  time_s: number,
): AlarmRecord {
  const { holdsSince_s, clearSince_s, ceased_s, shelvedUntil_s, onsets_s } = record;
  const longest_s = longestShelf_s[priority ?? "low"];
  return {
    ...record,
    holdsSince_s: holdsSince_s === null ? null : Math.min(holdsSince_s, time_s),
    clearSince_s: clearSince_s === null ? null : Math.min(clearSince_s, time_s),
    // Absent as another version kept it.
    ceased_s: typeof ceased_s === "number" ? Math.min(ceased_s, time_s) : null,
    shelvedUntil_s: shelvedUntil_s === null ? null : Math.min(shelvedUntil_s, time_s + longest_s),
    onsets_s: onsets_s.filter((onset_s) => onset_s <= time_s),
  };
}

export interface RestartParts {
  readonly config: AlarmsConfig;
  readonly outbox: Outbox;
  readonly house: HouseTime;
  definitionOf(name: AlarmName): AlarmDefinition;
}

/** What lasts unanswered is told also to whoever has got a name in the site file since, or another one. */
export function callsOfNewContacts(
  alarms: readonly AlarmRecord[],
  time_s: number,
  { config, outbox, house, definitionOf }: RestartParts,
): NewMessage[] {
  const waiting = alarms.filter((alarm) => alarm.announced && isUnanswered(alarm));
  if (waiting.length === 0) return [];
  const raised = outbox.journal(0).filter(({ kind }) => kind === "raised");
  return waiting.flatMap((alarm) => {
    const occurrence = occurrenceKey(alarm);
    const at_s = raised.findLast((entry) => entry.occurrence === occurrence)?.at_s ?? time_s;
    const called = outbox.calledFor(occurrence);
    const change = { kind: "raised", alarm, at_s, by: null } as const;
    return planMessages([change], definitionOf, config, outbox.toldOf, house).messages.filter(
      ({ contact, kind, due_s, expires_s }) =>
        !called.includes(contact) && expires_s > time_s && (kind === "raised" || due_s > time_s),
    );
  });
}

/** What sounded until somebody knows does so after a restart. */
export function goOnSounding(
  alarms: readonly AlarmRecord[],
  channels: ReadonlyMap<string, ChannelAtWork>,
  { config, outbox, definitionOf }: RestartParts,
): void {
  for (const alarm of alarms) {
    if (!isUnanswered(alarm)) continue;
    const occurrence = occurrenceKey(alarm);
    for (const { contact, by } of outbox.sentOf(occurrence)) {
      const to = config.contacts.find(({ name }) => name === contact)?.reach.find((way) => way.by === by)?.to;
      if (to !== undefined) channels.get(by)?.channel.resume?.(to, occurrence, definitionOf(alarm.name).priority);
    }
  }
}

function isUnanswered(alarm: AlarmRecord): boolean {
  return alarm.state === "unacknowledged" && withheldAs(alarm) === null;
}
