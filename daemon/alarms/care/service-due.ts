// When the basin was last serviced, and when it is due again: by what was entered on the page or stands in the site file,
// whichever is later.

import type { AlarmsConfig } from "../alarms-config.ts";

/** @param entered day entered on the page, `2026-05-01`; null: none was */
export function lastService(entered: string | null, { service }: Pick<AlarmsConfig, "service">): string | null {
  return entered === null || (service.last ?? "") > entered ? service.last : entered;
}

/** Null where no service is known of. */
export function serviceDue_s(
  entered: string | null,
  config: Pick<AlarmsConfig, "service">,
  timezone: string,
): number | null {
  const last = lastService(entered, config);
  if (last === null) return null;
  const day = Temporal.PlainDate.from(last).add({ days: Math.round(config.service.every_s / 86_400) });
  return morningOf(day, timezone);
}

/** When something is due that has a day alone. */
export function morningOf(day: Temporal.PlainDate | string, timezone: string): number {
  const at = Temporal.PlainDate.from(day).toZonedDateTime({ timeZone: timezone, plainTime: "09:00" });
  return at.epochMilliseconds / 1000;
}

/** The day on which a service is entered. */
export function dayOf(time_s: number, timezone: string): string {
  const instant = Temporal.Instant.fromEpochMilliseconds(Math.round(time_s * 1000));
  return instant.toZonedDateTimeISO(timezone).toPlainDate().toString();
}
