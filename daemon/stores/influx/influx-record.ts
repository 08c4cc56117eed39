// The record of one basin out of the shared database: what a board's own store says, read from what the board sent.

import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import type { RecordReader } from "../record-reader.ts";
import type { Span } from "../store.ts";
import { type AskBasin, askBasin, page } from "./basin-query.ts";
import { cycleColumns, cycleIn } from "./cycle-points.ts";
import type { DatabaseLink } from "./database-link.ts";
import { extentQuery } from "./extent-query.ts";
import { findingColumns, findingIn } from "./finding-points.ts";
import { inflowQuery } from "./inflow-query.ts";
import { firstOf, timeCondition } from "./instant.ts";
import { levelQuery } from "./level-query.ts";
import type { Row } from "./line-values.ts";
import { rainQuery } from "./rain-query.ts";
import { readingsQuery } from "./readings-query.ts";

/** @param basin its name in the database */
export function influxRecord(link: Pick<DatabaseLink, "query">, basin: string): RecordReader {
  const ask = askBasin(link, basin);
  return {
    span: async () => (await extentQuery(ask))?.record ?? null,
    level: (span, points) => levelQuery(ask, span, Math.max(2, Math.floor(points))),
    inflow: (span, points) => inflowQuery(ask, span, points),
    cycles: (span, limit) => cyclesWithin(ask, span, limit),
    findings: (span, limit) => findingsWithin(ask, span, limit),
    readings: (span) => readingsQuery(ask, span),
    rain: () => rainQuery(ask),
  };
}

/** Runs follow one another: of those that began before the span, only the last can reach into it. */
async function cyclesWithin(ask: AskBasin, span: Span, limit: number): Promise<Cycle[]> {
  const found = await newest(ask, "cycle", cycleColumns, timeCondition(span.from_s, span.to_s), limit, cycleIn);
  if (found.length >= limit) return found.slice(0, limit);
  const [before] = await newest(ask, "cycle", cycleColumns, `time < ${firstOf(span.from_s)}`, 1, cycleIn);
  return before !== undefined && before.stoppedAt_s >= span.from_s ? [...found, before] : found;
}

async function findingsWithin(ask: AskBasin, { from_s, to_s }: Span, limit: number): Promise<Finding[]> {
  const since = Number.isFinite(from_s) ? `AND (lasts = true OR to_s >= ${from_s})` : "";
  const condition = `${timeCondition(Number.NEGATIVE_INFINITY, to_s)} ${since}`;
  const found = await newest(ask, "finding", findingColumns, condition, limit, findingIn);
  return found.sort((a, b) => b.from_s - a.from_s || (a.kind < b.kind ? -1 : 1)).slice(0, limit);
}

/** What a row says, newest first: a page at a time, for among them may be some that were taken back. */
async function newest<T>(
  ask: AskBasin,
  from: "cycle" | "finding",
  select: readonly string[],
  where: string,
  limit: number,
  read: (row: Row) => T | null,
): Promise<T[]> {
  const found: T[] = [];
  const most = Math.min(page, limit);
  for (let offset = 0; found.length < limit; offset += most) {
    const rows = await ask({ select, from, where, rest: `ORDER BY time DESC LIMIT ${most} OFFSET ${offset}` });
    for (const row of rows) {
      const one = read(row);
      if (one !== null) found.push(one);
    }
    if (rows.length < most) break;
  }
  return found;
}
