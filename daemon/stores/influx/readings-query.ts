// Readings of a span out of the shared database, a page at a time, in the order in which they came.

import type { Reading } from "../../../analysis/readings/reading.ts";
import type { Span } from "../store.ts";
import { type AskBasin, page } from "./basin-query.ts";
import { firstOf } from "./instant.ts";
import { readingColumns, readingIn } from "./reading-points.ts";

/** @param select by default all that a reading has */
export async function* readingsQuery(
  ask: AskBasin,
  { from_s, to_s }: Span,
  select: readonly string[] = readingColumns,
): AsyncGenerator<readonly Reading[]> {
  const end = `time <= ${firstOf(to_s).slice(0, -3)}999`;
  // The next page begins with the last one's last microsecond, of which so many have been there already.
  let since = firstOf(from_s);
  let seen = 0;
  for (;;) {
    const rest = `ORDER BY time LIMIT ${page} OFFSET ${seen}`;
    const rows = await ask({ select, from: "reading", where: `time >= ${since} AND ${end}`, rest });
    const some = rows.map(readingIn).filter(({ time_s }) => time_s >= from_s && time_s <= to_s);
    if (some.length > 0) yield some;
    const last_us = rows.at(-1)?.time;
    if (rows.length < page || typeof last_us !== "number") return;
    const sameInPage = rows.length - rows.findIndex(({ time }) => time === last_us);
    const begin = `${last_us}000`;
    seen = begin === since ? seen + rows.length : sameInPage;
    since = begin;
  }
}
