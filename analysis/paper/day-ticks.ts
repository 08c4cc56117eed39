// Ticks of an axis of time: midnights or whole hours of the site's own clock.

import type { Tick } from "./chart-frame.ts";

const day_s = 86_400;

/** Midnights of the site's clock, or hours where the record is short. */
export function dayTicks(from_s: number, to_s: number, timezone: string, width: number): Tick[] {
  const wide_s = to_s - from_s;
  const most = Math.max(2, Math.floor(width / 90));
  const step_s =
    [
      3600,
      2 * 3600,
      3 * 3600,
      6 * 3600,
      12 * 3600,
      day_s,
      2 * day_s,
      7 * day_s,
      14 * day_s,
      30 * day_s,
      91 * day_s,
    ].find((step) => wide_s / step <= most) ?? 365 * day_s;
  const zone = isKnown(timezone) ? timezone : "UTC";
  const offset_s = zoneOffset_s(from_s, zone);
  const options: Intl.DateTimeFormatOptions =
    step_s >= day_s ? { day: "numeric", month: "short" } : { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  const format = new Intl.DateTimeFormat("en-GB", { timeZone: zone, ...options });
  const ticks: Tick[] = [];
  for (let at = Math.ceil((from_s + offset_s) / step_s) * step_s - offset_s; at <= to_s; at += step_s) {
    ticks.push({ at, word: format.format(at * 1000) });
  }
  return ticks;
}

/** Of the zone's clock, ahead of UTC. */
function zoneOffset_s(time_s: number, timeZone: string): number {
  const options: Intl.DateTimeFormatOptions = {
    timeZone,
    hourCycle: "h23",
    year: "numeric",
    month: "numeric",
    day: "numeric",
    hour: "numeric",
    minute: "numeric",
    second: "numeric",
  };
  const parts = new Intl.DateTimeFormat("en-GB", options).formatToParts(time_s * 1000);
  const of = (type: string) => Number(parts.find((part) => part.type === type)?.value);
  return (
    Date.UTC(of("year"), of("month") - 1, of("day"), of("hour"), of("minute"), of("second")) / 1000 - Math.floor(time_s)
  );
}

function isKnown(timeZone: string): boolean {
  try {
    new Intl.DateTimeFormat("en", { timeZone });
    return true;
  } catch {
    return false;
  }
}
