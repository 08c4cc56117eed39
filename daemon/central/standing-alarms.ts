// The alarms of one basin that last, most urgent first, with who sees to them: as its board tells, and what was answered
// from afar meanwhile. Pure.

import type { ActiveAlarm } from "../server/alarms-types.ts";
import type { StandingAlarm } from "./central-types.ts";
import { centralTime_s } from "./conditions.ts";
import type { Heard } from "./heard.ts";

const rank = { high: 0, medium: 1, low: 2 } as const;
/** Those that are shelved, out of service or said by their cause call nobody. */
const calling: ReadonlySet<string> = new Set(["unacknowledged", "acknowledged"] satisfies ActiveAlarm["state"][]);

export function standingAlarms(heard: Heard): StandingAlarm[] {
  return (heard.alarms?.alarms ?? [])
    .filter(({ state }) => calling.has(state))
    .map(({ name, title, priority, from_s, acknowledgedBy }) => {
      const answer = heard.answers.get(name);
      const answeredBy = acknowledgedBy === null && answer?.from_s === from_s ? answer.by : null;
      return {
        ...{ name, title, priority, from_s, acknowledgedBy, answeredBy },
        since_s: centralTime_s(from_s, heard),
      };
    })
    .toSorted((a, b) => rank[a.priority] - rank[b.priority] || a.from_s - b.from_s);
}
