// The hours in which a contact is told of nothing that can wait, by the clock on the wall.

import type { Priority } from "../../analysis/alarms/alarm.ts";
import type { Contact, QuietHours } from "./alarms-config.ts";

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
