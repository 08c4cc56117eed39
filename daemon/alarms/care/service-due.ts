// When the basin was last serviced, and on which day it is due again: by what was entered on the page or stands in the site
// file, whichever is later. Days are such as `2026-05-01`.

import type { AlarmsConfig } from "../alarms-config.ts";

/** @param entered day entered on the page; null: none was */
export function lastService(entered: string | null, { service }: Pick<AlarmsConfig, "service">): string | null {
  return entered === null || (service.last ?? "") > entered ? service.last : entered;
}

export function dueAfter(last: string, every_s: number): string {
  return Temporal.PlainDate.from(last)
    .add({ days: Math.round(every_s / 86_400) })
    .toString();
}

/** When something is due that has a day alone. */
export function morningOf(day: string, timezone: string): number {
  const at = Temporal.PlainDate.from(day).toZonedDateTime({ timeZone: timezone, plainTime: "09:00" });
  return at.epochMilliseconds / 1000;
}
