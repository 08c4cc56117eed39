// The figures by which alarm management is judged, from what was announced: rates, floods, the most frequent, those that
// chatter or stay, the split of priorities (ANSI/ISA-18.2 and EEMUA 191, targets as open course documents give them).
// What each means: performance.md.

import type { AlarmName, Priority } from "./alarm.ts";

export interface Announcement {
  readonly at_s: number;
  readonly alarm: AlarmName;
  readonly priority: Priority;
  /** When it was over or put aside; null: not yet. */
  readonly to_s: number | null;
}

export interface AlarmPerformance {
  readonly span_s: number;
  readonly count: number;
  readonly perDay: number;
  readonly per10min: number;
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
  /** The most that had stood for more than a day at once, on any day. */
  readonly mostStale: number;
  readonly split: Readonly<Record<Priority, number>>;
}

/** What the standard aims at, for one operator's position and 30 days or more. */
export const marks = {
  /** Very likely acceptable, and the most that can be managed; of a day in the edition of 2009 alone. */
  perDay: { acceptable: 150, most: 300 },
  per10min: { acceptable: 1, most: 2 },
  mostIn10min: 10,
  /** Each under a hundredth. */
  shareOver10: 0.01,
  shareInFlood: 0.01,
  tenMostFrequent: 0.05,
  chattering: 0,
  /** Fewer than that on any day. */
  stale: 5,
  split: { high: 0.05, medium: 0.15, low: 0.8 },
} as const;
/** At least so long a time is looked at. */
export const shortestSpan_s = 30 * 86_400;

export const flood = { period_s: 600, beginsOver: 10, endsUnder: 5 } as const;
/** So many in so long a time (open guidance on ISA-18.2). */
export const chatter = { times: 3, within_s: 60 } as const;
export const staleAfter_s = 86_400;
const day_s = 86_400;
const { period_s } = flood;

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
    perDay: span_s > 0 ? (count / span_s) * day_s : 0,
    per10min: span_s > 0 ? (count / span_s) * period_s : 0,
    mostIn10min: Math.max(0, ...announcements.map(({ at_s }, i) => within(announcements, i, at_s + period_s))),
    shareOver10:
      [...periods.values()].filter(({ length }) => length > marks.mostIn10min).length /
      Math.max(1, Math.floor(span_s / period_s)),
    shareInFlood: span_s > 0 ? floodTime(announcements) / span_s : 0,
    mostFrequent: [...byName]
      .map(([alarm, of]) => ({ alarm, count: of.length, share: of.length / count }))
      .toSorted((a, b) => b.count - a.count)
      .slice(0, 10),
    chattering: [...byName].filter(([, of]) => isChatter(of)).map(([alarm]) => alarm),
    mostStale: mostStale(announcements, from_s, to_s),
    split,
  };
}

function isChatter(of: readonly Announcement[]): boolean {
  const { times, within_s } = chatter;
  return of.some(({ at_s }, i) => at_s - (of[i - times + 1]?.at_s ?? Number.NEGATIVE_INFINITY) <= within_s);
}

/** Those that stood for more than a day at some time of a day, on the day with most of them. */
function mostStale(announcements: readonly Announcement[], from_s: number, to_s: number): number {
  const stale = announcements
    .map(({ at_s, to_s: until_s }) => ({ from_s: at_s + staleAfter_s, to_s: until_s ?? to_s }))
    .filter((each) => each.to_s > each.from_s);
  const days = Math.max(0, Math.ceil((to_s - from_s) / day_s));
  const on = (day: number) =>
    stale.filter((each) => each.from_s < from_s + (day + 1) * day_s && each.to_s > from_s + day * day_s).length;
  return Math.max(0, ...Array.from({ length: days }, (_, day) => on(day)));
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
      if (since_s !== null && recent.length < flood.endsUnder) {
        total_s += left_s - since_s;
        since_s = null;
      }
    }
    recent.push(at_s);
    if (since_s === null && recent.length > flood.beginsOver) since_s = at_s;
  }
  if (since_s !== null) {
    const end_s = (recent.at(-flood.endsUnder) ?? since_s) + period_s;
    total_s += Math.max(0, end_s - since_s);
  }
  return total_s;
}
