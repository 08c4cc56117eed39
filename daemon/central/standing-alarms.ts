// The alarms of one basin that last, most urgent first, with who sees to them: as its board tells, and what was answered
// from afar meanwhile; and what is put aside, so that nobody takes silence for calm. Pure.

import type { ActiveAlarm } from "../server/alarms-types.ts";
import type { AlarmPutAside, StandingAlarm } from "./central-types.ts";
import { centralTime_s } from "./conditions.ts";
import type { Heard } from "./heard.ts";
import { answerTo, asideShown } from "./orders-shown.ts";

const rank = { high: 0, medium: 1, low: 2 } as const;
/** Those that are shelved, out of service or said by their cause call nobody. */
const calling: ReadonlySet<string> = new Set(["unacknowledged", "acknowledged"] satisfies ActiveAlarm["state"][]);

export function standingAlarms(heard: Heard): StandingAlarm[] {
  return (heard.alarms?.alarms ?? [])
    .filter(({ state }) => calling.has(state))
    .map(({ name, title, priority, from_s, acknowledgedBy }) => {
      const answeredBy = acknowledgedBy === null ? answerTo({ name, from_s }, heard) : null;
      return {
        ...{ name, title, priority, from_s, acknowledgedBy, answeredBy },
        since_s: centralTime_s(from_s, heard),
      };
    })
    .toSorted((a, b) => rank[a.priority] - rank[b.priority] || a.from_s - b.from_s);
}

/** What comes back soonest first; what is out of service until somebody puts it back, last. */
export function putAside(heard: Heard, now_s: number): AlarmPutAside[] {
  return asideShown(heard, now_s)
    .map(({ title, until_s, by }) => ({
      ...{ title, by },
      until_s: until_s === null ? null : centralTime_s(until_s, heard),
    }))
    .toSorted((a, b) => (a.until_s ?? Number.POSITIVE_INFINITY) - (b.until_s ?? Number.POSITIVE_INFINITY));
}
