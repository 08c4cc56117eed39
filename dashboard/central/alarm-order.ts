// The alarms of all basins that are shown, most urgent first, unanswered before answered, then what has lasted longest. Pure.

import type { AlarmPutAside, OverviewRow, StandingAlarm } from "../../daemon/central/central-types.ts";
import { sentenceCase } from "../alarm-words.ts";
import { siteTime } from "../site-time.ts";

export interface AlarmOfBasin {
  readonly row: OverviewRow;
  readonly alarm: StandingAlarm;
}

const rank = { high: 0, medium: 1, low: 2 } as const;

export function alarmsOf(rows: Iterable<OverviewRow>): AlarmOfBasin[] {
  return [...rows]
    .flatMap((row) => row.alarms.map((alarm) => ({ row, alarm })))
    .sort(
      ({ alarm: a }, { alarm: b }) =>
        rank[a.priority] - rank[b.priority] || Number(isAnswered(a)) - Number(isAnswered(b)) || a.since_s - b.since_s,
    );
}

export function isAnswered({ acknowledgedBy, answeredBy }: StandingAlarm): boolean {
  return acknowledgedBy !== null || answeredBy !== null;
}

/** Who is seeing to it, or that nobody does. */
export function answerWord({ acknowledgedBy, answeredBy }: StandingAlarm): string {
  if (acknowledgedBy !== null) return `${acknowledgedBy} is seeing to it`;
  return answeredBy === null ? "nobody has answered" : `${answeredBy} has answered; the board has not confirmed yet`;
}

/** `High water: shelved until Wed 4 Mar, 14:10, by Ann` */
export function asideWord({ title, until_s, by }: AlarmPutAside, timezone: string): string {
  const how = until_s === null ? "out of service" : `shelved until ${siteTime(timezone).dayAndClock(until_s)}`;
  return `${sentenceCase(title)}: ${how}${by === null ? "" : `, by ${by}`}`;
}

/** `3 alarms, 1 not answered` */
export function alarmsSentence(alarms: readonly AlarmOfBasin[]): string {
  const open = alarms.filter(({ alarm }) => !isAnswered(alarm)).length;
  const count = `${alarms.length.toLocaleString("en")} ${alarms.length === 1 ? "alarm" : "alarms"}`;
  return open === 0 ? `${count}, all answered` : `${count}, ${open.toLocaleString("en")} not answered`;
}
