// Records of one kind in the order of their beginnings, some at a time, however many or few there are to an hour.

import type { Span } from "../stores/store.ts";

export interface WindowOptions<T> {
  /** Records that overlap a span, in any order. */
  read(span: Span): readonly T[];
  begin_s(record: T): number;
  /** From then on, up to before `to_s`; both may be infinite. */
  readonly from_s: number;
  readonly to_s: number;
  /** What the record spans: outside it there is little. */
  readonly span: Span;
  /** Not many more than so many. */
  readonly most: number;
}

export interface Window<T> {
  readonly records: readonly T[];
  /** All that begin before are among them. */
  readonly reached_s: number;
}

const shortest_s = 3600;

export function nextWindow<T>({ read, begin_s, from_s, to_s, span, most }: WindowOptions<T>): Window<T> {
  const records: T[] = [];
  let reached_s = from_s;
  for (let width_s = shortest_s; reached_s < to_s && records.length < most; ) {
    const next_s = Math.max(reached_s, span.from_s) + width_s;
    const end_s = next_s > span.to_s ? to_s : Math.min(next_s, to_s);
    const found = read({ from_s: reached_s, to_s: end_s }).filter((record) =>
      isWithin(begin_s(record), reached_s, end_s),
    );
    records.push(...found.toSorted((a, b) => begin_s(a) - begin_s(b)));
    if (found.length < most / 4) width_s *= 2;
    reached_s = end_s;
  }
  return { records, reached_s };
}

/** By the microsecond, to which the database tells times apart. */
function isWithin(time_s: number, from_s: number, to_s: number): boolean {
  const time_us = Math.round(time_s * 1e6);
  return time_us >= Math.round(from_s * 1e6) && time_us < Math.round(to_s * 1e6);
}
