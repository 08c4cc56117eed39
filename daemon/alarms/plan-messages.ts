// From what changed to what is said to whom, and when: escalation, quiet hours, and the end told to those who were told of
// the beginning. Pure; the outbox keeps it, delivery sends it.

import type { AlarmDefinition, Priority } from "../../analysis/alarms/alarm.ts";
import type { AlarmChange } from "../../analysis/alarms/alarm-book.ts";
import { occurrenceKey } from "../../analysis/alarms/alarm-record.ts";
import type { AlarmsConfig, Contact, QuietHours } from "./alarms-config.ts";
import type { NewMessage } from "./outbox/message-row.ts";

export interface Plan {
  readonly messages: readonly NewMessage[];
  /** Of these nobody need be called any more who would have been after that time. */
  readonly callOff: readonly { readonly occurrence: string; readonly after_s: number }[];
}

/** What has not been sent by then is no news any more. */
const expiresAfter_s: Readonly<Record<Priority, number>> = { high: 12 * 3600, medium: 24 * 3600, low: 3 * 86_400 };
/** Others that begin within this time go into the same message; what is high goes at once. */
const gather_s: Readonly<Record<Priority, number>> = { high: 0, medium: 20, low: 120 };

/**
 * @param toldOf who has been told of an occurrence so far
 */
export function planMessages(
  changes: readonly AlarmChange[],
  definitionOf: (name: AlarmChange["alarm"]["name"]) => AlarmDefinition,
  config: AlarmsConfig,
  toldOf: (occurrence: string, now_s: number) => readonly string[],
  timezone: string,
): Plan {
  const messages: NewMessage[] = [];
  const callOff: Plan["callOff"][number][] = [];
  for (const change of changes) {
    const { alarm, kind, at_s } = change;
    const occurrence = occurrenceKey(alarm);
    const { priority } = definitionOf(alarm.name);
    if (kind === "acknowledged" || kind === "shelved" || kind === "out-of-service")
      callOff.push({ occurrence, after_s: 0 });
    // High water that came and went while nothing got through is still told.
    if (kind === "over") callOff.push({ occurrence, after_s: priority === "high" ? at_s : 0 });
    if (config.changes[alarm.name]?.tell === false) continue;
    const add = (name: string, after_s: number, suffix: string) => {
      const contact = config.contacts.find((each) => each.name === name);
      if (contact === undefined || (kind !== "raised" && kind !== "worse" && kind !== "over")) return;
      const due_s = notInQuietHours(
        at_s + after_s + (kind === "worse" ? 0 : gather_s[priority]),
        contact,
        priority,
        timezone,
      );
      messages.push({
        key: `${occurrence}-${Math.round(at_s)}-${suffix}-${keyOf(name)}`,
        ...{ kind, alarm: alarm.name, occurrence, priority, contact: name, onlyBy: null },
        ...{
          due_s,
          expires_s: due_s + expiresAfter_s[priority],
          from_s: alarm.from_s,
          to_s: alarm.to_s,
          facts: alarm.facts,
        },
      });
    };
    if (kind === "raised") {
      // Somebody in two steps is called twice: that is what a second step with the same name asks for.
      for (const [step, { contacts, after_s }] of config.call.entries())
        for (const name of contacts) add(name, after_s, `r${step}`);
    }
    if (kind === "worse") {
      const told = toldOf(occurrence, at_s);
      const first = config.call[0]?.contacts ?? [];
      for (const name of new Set([...told, ...first])) add(name, 0, `w${alarm.timesWorse}`);
    }
    // The end of what could wait wakes nobody.
    if (kind === "over" && priority !== "low") for (const name of toldOf(occurrence, at_s)) add(name, 0, "over");
  }
  return { messages, callOff };
}

/** Contacts' names may hold anything; keys may not. */
function keyOf(name: string): string {
  return Buffer.from(name).toString("hex").slice(0, 16);
}

/** @returns the time itself, or the end of the quiet hours in which it falls */
export function notInQuietHours(
  time_s: number,
  { quiet }: Pick<Contact, "quiet">,
  priority: Priority,
  timezone: string,
): number {
  if (quiet === null || priority === "high") return time_s;
  const local = Temporal.Instant.fromEpochMilliseconds(Math.round(time_s * 1000)).toZonedDateTimeISO(timezone);
  const minute = local.hour * 60 + local.minute;
  if (!isQuiet(minute, quiet)) return time_s;
  const today = local.with({
    hour: Math.floor(quiet.to_min / 60),
    minute: quiet.to_min % 60,
    second: 0,
    millisecond: 0,
  });
  const end = minute < quiet.to_min ? today : today.add({ days: 1 });
  return end.epochMilliseconds / 1000;
}

function isQuiet(minute: number, { from_min, to_min }: QuietHours): boolean {
  return from_min <= to_min ? minute >= from_min && minute < to_min : minute >= from_min || minute < to_min;
}
