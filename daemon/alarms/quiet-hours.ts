// The hours in which a contact is told of nothing that can wait, by the clock on the wall.

import type { Priority } from "../../analysis/alarms/alarm.ts";
import type { Contact, QuietHours } from "./alarms-config.ts";
import { type HouseTime, onTheWall } from "./house-time.ts";

/** @returns the time itself, or the end of the quiet hours in which it falls */
export function notInQuietHours(
  time_s: number,
  { quiet }: Pick<Contact, "quiet">,
  priority: Priority,
  house: HouseTime,
): number {
  if (quiet === null || priority === "high") return time_s;
  const local = onTheWall(time_s, house);
  const minute = local.hour * 60 + local.minute;
  if (!isQuiet(minute, quiet)) return time_s;
  const today = local.with({
    hour: Math.floor(quiet.to_min / 60),
    minute: quiet.to_min % 60,
    second: 0,
    millisecond: 0,
  });
  const end = minute < quiet.to_min ? today : today.add({ days: 1 });
  return end.epochMilliseconds / 1000 - house.ahead_s(time_s);
}

function isQuiet(minute: number, { from_min, to_min }: QuietHours): boolean {
  return from_min <= to_min ? minute >= from_min && minute < to_min : minute >= from_min || minute < to_min;
}
