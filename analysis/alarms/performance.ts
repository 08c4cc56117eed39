// The figures by which alarm management is judged, from what was announced: rates, floods, the most frequent, those that
// chatter, the split of priorities (ANSI/ISA-18.2 and EEMUA 191, targets as open course documents give them).

import type { AlarmName, Priority } from "./alarm.ts";

export interface Announcement {
  readonly at_s: number;
  readonly alarm: AlarmName;
  readonly priority: Priority;
}

export interface AlarmPerformance {
  readonly span_s: number;
  readonly count: number;
  readonly perDay: number;
  /** In any ten minutes. */
  readonly mostIn10min: number;
  /** Share of the whole ten-minute periods in which more than ten came. */
  readonly shareOver10: number;
  /** Share of the time in a flood: from more than ten in ten minutes until fewer than five in ten. */
  readonly shareInFlood: number;
  /** Most frequent first, at most ten, with their share of all. */
  readonly mostFrequent: readonly { readonly alarm: AlarmName; readonly count: number; readonly share: number }[];
  /** Those that came three times or more within a minute. */
  readonly chattering: readonly AlarmName[];
  readonly split: Readonly<Record<Priority, number>>;
}

/** Very likely acceptable: about one in ten minutes, 150 a day (2009 edition). */
export const acceptablePerDay = 150;
export const mostIn10min = 10;
/** At least so long a time is looked at. */
export const shortestSpan_s = 30 * 86_400;

const period_s = 600;
const floodBegins = 10;
const floodEnds = 5;

/**
 * @param announcements in the order of time, each within the span
 */
export function alarmPerformance(
  announcements: readonly Announcement[],
  { from_s, to_s }: { readonly from_s: number; readonly to_s: number },
): AlarmPerformance {
  const span_s = to_s - from_s;
  const count = announcements.length;
  const byName = Map.groupBy(announcements, ({ alarm }) => alarm);
  const periods = Map.groupBy(announcements, ({ at_s }) => Math.floor((at_s - from_s) / period_s));
  const split = { high: 0, medium: 0, low: 0 };
  for (const { priority } of announcements) split[priority] += 1 / count;
  return {
    span_s,
    count,
    perDay: span_s > 0 ? (count / span_s) * 86_400 : 0,
    mostIn10min: Math.max(0, ...announcements.map(({ at_s }, i) => within(announcements, i, at_s + period_s))),
    shareOver10:
      [...periods.values()].filter(({ length }) => length > mostIn10min).length /
      Math.max(1, Math.floor(span_s / period_s)),
    shareInFlood: span_s > 0 ? floodTime(announcements) / span_s : 0,
    mostFrequent: [...byName]
      .map(([alarm, of]) => ({ alarm, count: of.length, share: of.length / count }))
      .toSorted((a, b) => b.count - a.count)
      .slice(0, 10),
    chattering: [...byName]
      .filter(([, of]) => of.some(({ at_s }, i) => i >= 2 && at_s - (of[i - 2]?.at_s ?? 0) <= 60))
      .map(([alarm]) => alarm),
    split,
  };
}

/** How many from the i-th on come before that time. */
function within(announcements: readonly Announcement[], i: number, before_s: number): number {
  let n = 0;
  while ((announcements[i + n]?.at_s ?? Number.POSITIVE_INFINITY) < before_s) n++;
  return n;
}

function floodTime(announcements: readonly Announcement[]): number {
  let total_s = 0;
  let since_s: number | null = null;
  let recent: number[] = [];
  for (const { at_s } of announcements) {
    // Between two announcements the ten minutes before empty one by one.
    for (const left_s of recent.map((each) => each + period_s).filter((each) => each <= at_s)) {
      recent = recent.filter((each) => each + period_s > left_s);
      if (since_s !== null && recent.length < floodEnds) {
        total_s += left_s - since_s;
        since_s = null;
      }
    }
    recent.push(at_s);
    if (since_s === null && recent.length > floodBegins) since_s = at_s;
  }
  if (since_s !== null) {
    const end_s = (recent.at(-floodEnds) ?? since_s) + period_s;
    total_s += Math.max(0, end_s - since_s);
  }
  return total_s;
}
