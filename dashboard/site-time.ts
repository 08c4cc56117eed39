// Times as the site's own clock on the wall would show them, in the site's time zone, 24 hours, English.

/** Formats Unix seconds in one time zone. */
export interface SiteTime {
  /** `06:10:22` */
  clock(time_s: number): string;
  /** `06:10` */
  clockToMinute(time_s: number): string;
  /** `Tue 4 Mar` */
  day(time_s: number): string;
  /** `4 Mar` */
  shortDay(time_s: number): string;
  /** `Tue 4 Mar, 06:10` */
  dayAndClock(time_s: number): string;
  /** `4 Mar 06:10` */
  shortDayAndClock(time_s: number): string;
  /** `4 Mar 06:10:22` */
  stamp(time_s: number): string;
  /** `Tue 4 Mar, 06:10 – 12:10`, the day said twice only when it differs. */
  span(from_s: number, to_s: number): string;
}

const cache = new Map<string, SiteTime>();

/** @param timezone IANA name; a name the browser does not know falls back to UTC, and the times say so. */
export function siteTime(timezone: string): SiteTime {
  const known = cache.get(timezone);
  if (known) return known;
  const made = make(timezone);
  cache.set(timezone, made);
  return made;
}

function make(timezone: string): SiteTime {
  const zone = isKnown(timezone) ? timezone : "UTC";
  const suffix = zone === timezone ? "" : " UTC";
  const formatter = (options: Intl.DateTimeFormatOptions) => {
    const format = new Intl.DateTimeFormat("en-GB", { timeZone: zone, hourCycle: "h23", ...options });
    return (time_s: number) => format.format(time_s * 1000).replaceAll(",", "");
  };
  const seconds = formatter({ hour: "2-digit", minute: "2-digit", second: "2-digit" });
  const minutes = formatter({ hour: "2-digit", minute: "2-digit" });
  const day = formatter({ weekday: "short", day: "numeric", month: "short" });
  const shortDay = formatter({ day: "numeric", month: "short" });
  const clock = (time_s: number) => seconds(time_s) + suffix;
  const clockToMinute = (time_s: number) => minutes(time_s) + suffix;
  const dayAndClock = (time_s: number) => `${day(time_s)}, ${clockToMinute(time_s)}`;

  return {
    clock,
    clockToMinute,
    day,
    shortDay,
    dayAndClock,
    shortDayAndClock: (time_s) => `${shortDay(time_s)} ${clockToMinute(time_s)}`,
    stamp: (time_s) => `${shortDay(time_s)} ${clock(time_s)}`,
    span(from_s, to_s) {
      const fine = to_s - from_s < 600 ? clock : clockToMinute;
      const from = `${day(from_s)}, ${fine(from_s)}`;
      return day(from_s) === day(to_s) ? `${from} – ${fine(to_s)}` : `${from} – ${day(to_s)}, ${fine(to_s)}`;
    },
  };
}

function isKnown(timezone: string): boolean {
  try {
    new Intl.DateTimeFormat("en", { timeZone: timezone });
    return true;
  } catch {
    return false;
  }
}
