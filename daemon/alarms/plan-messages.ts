// From what changed to what is said to whom, and when: escalation, quiet hours, and the end told to those who were told of
// the beginning. Pure; the outbox keeps it, delivery sends it.

import { hash } from "node:crypto";
import type { AlarmDefinition, Priority } from "../../analysis/alarms/alarm.ts";
import type { AlarmChange } from "../../analysis/alarms/alarm-book.ts";
import { type AlarmRecord, occurrenceKey } from "../../analysis/alarms/alarm-record.ts";
import type { AlarmsConfig } from "./alarms-config.ts";
import type { HouseTime } from "./house-time.ts";
import type { NewMessage } from "./outbox/message-row.ts";
import { notInQuietHours } from "./quiet-hours.ts";

export interface Plan {
  readonly messages: readonly NewMessage[];
  /** Of these nobody need be called any more who would have been after that time. */
  readonly callOff: readonly { readonly occurrence: string; readonly after_s: number }[];
}

/** What has not been sent by then is no news any more. */
const expiresAfter_s: Readonly<Record<Priority, number>> = { high: 12 * 3600, medium: 24 * 3600, low: 3 * 86_400 };
/** Others that begin within this time go into the same message; what is high goes at once. */
const gather_s: Readonly<Record<Priority, number>> = { high: 0, medium: 20, low: 120 };
/** Somebody is seeing to it, or nobody need; or its cause says it. */
const callsOff: ReadonlySet<AlarmChange["kind"]> = new Set(["acknowledged", "shelved", "out-of-service", "suppressed"]);

/**
 * @param toldOf who has been told of an occurrence so far
 */
export function planMessages(
  changes: readonly AlarmChange[],
  definitionOf: (name: AlarmChange["alarm"]["name"]) => AlarmDefinition,
  config: AlarmsConfig,
  toldOf: (occurrence: string, now_s: number) => readonly string[],
  house: HouseTime,
): Plan {
  const messages: NewMessage[] = [];
  const callOff: Plan["callOff"][number][] = [];
  for (const change of changes) {
    const { alarm, kind, at_s } = change;
    const occurrence = occurrenceKey(alarm);
    const { priority, onDelay_s } = definitionOf(alarm.name);
    if (callsOff.has(kind)) callOff.push({ occurrence, after_s: 0 });
    // High water that came and went while nothing got through is still told.
    if (kind === "over") callOff.push({ occurrence, after_s: priority === "high" ? at_s : 0 });
    if (config.changes[alarm.name]?.tell === false) continue;
    const add = (what: "raised" | "again" | "worse" | "over", name: string, from_s: number, suffix: string) => {
      const contact = config.contacts.find((each) => each.name === name);
      if (contact === undefined) return;
      const gathers_s = what === "worse" ? 0 : gather_s[priority];
      const due_s = notInQuietHours(from_s + gathers_s, contact, priority, house);
      messages.push({
        key: `${occurrence}-${Math.round(at_s)}-${suffix}-${keyOf(name)}`,
        ...{ kind: what, alarm: alarm.name, occurrence, priority, contact: name, onlyBy: null },
        ...{
          due_s,
          expires_s: due_s + expiresAfter_s[priority],
          from_s: alarm.from_s,
          to_s: alarm.to_s,
          facts: what === "over" && cameAndWent(alarm) ? { ...alarm.facts, came_and_went: true } : alarm.facts,
        },
      });
    };
    if (kind === "raised")
      for (const { name, round, step, after_s } of calls(config, priority))
        add(round === 0 ? "raised" : "again", name, at_s + after_s, round === 0 ? `r${step}` : `a${round}.${step}`);
    if (kind === "unsuppressed" && isUnanswered(alarm)) {
      // The calls go on where they stood when a cause spoke for it that nobody was told of.
      const told = toldOf(occurrence, at_s);
      const begun_s = (alarm.from_s ?? at_s) + onDelay_s;
      for (const { name, round, step, after_s } of calls(config, priority)) {
        if (begun_s + after_s > at_s)
          add(round === 0 ? "raised" : "again", name, begun_s + after_s, `u${round}.${step}`);
        else if (round === 0 && !told.includes(name)) add("raised", name, at_s, `u${round}.${step}`);
      }
    }
    if (kind === "worse") {
      const told = toldOf(occurrence, at_s);
      const first = config.call[0]?.contacts ?? [];
      for (const name of new Set([...told, ...first])) add("worse", name, at_s, `w${alarm.timesWorse}`);
    }
    // The end of what could wait wakes nobody.
    if (kind === "over" && priority !== "low")
      for (const name of toldOf(occurrence, at_s)) add("over", name, at_s, "over");
  }
  return { messages, callOff };
}

interface Call {
  readonly name: string;
  /** 0: the first time. */
  readonly round: number;
  readonly step: number;
  readonly after_s: number;
}

/**
 * Whom to call, and how long after the beginning, unless somebody answers. What is of high priority goes round again after
 * the last step: the pause doubles, so that a night is covered by few messages.
 */
function calls({ call, callAgain }: AlarmsConfig, priority: Priority): Call[] {
  const span_s = (call.at(-1)?.after_s ?? 0) - (call[0]?.after_s ?? 0);
  const rounds = priority === "high" ? callAgain.times : 0;
  return Array.from({ length: rounds + 1 }, (_, round) => {
    const begins_s = round * span_s + callAgain.after_s * (2 ** round - 1);
    // Somebody in two steps is called twice: that is what a second step with the same name asks for.
    return call.flatMap(({ contacts, after_s }, step) =>
      contacts.map((name) => ({ name, round, step, after_s: begins_s + after_s })),
    );
  }).flat();
}

/** It was not so all the while. */
function cameAndWent({ onsets_s, from_s }: AlarmRecord): boolean {
  return onsets_s.filter((onset_s) => onset_s >= (from_s ?? 0)).length > 1;
}

function isUnanswered({ announced, state }: AlarmRecord): boolean {
  return announced && state === "unacknowledged";
}

/** Contacts' names may hold anything, and begin alike; keys may not. */
function keyOf(name: string): string {
  const key = keys.get(name) ?? hash("sha256", name).slice(0, 12);
  keys.set(name, key);
  return key;
}

const keys = new Map<string, string>();
