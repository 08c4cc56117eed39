// Asks the shared database about one basin. Names come from our own lists and values go as parameters, so that nothing in
// either can change what is asked.

import type { Span } from "../store.ts";
import type { DatabaseLink } from "./database-link.ts";
import { timeCondition } from "./instant.ts";
import type { Row } from "./line-values.ts";
import { type Measurement, policyOf } from "./point.ts";

export interface Question {
  /** What to select: columns, or sums of them. */
  readonly select: readonly string[];
  readonly from: Measurement;
  /** A condition beside the basin. */
  readonly where?: string;
  /** What comes after the conditions: GROUP BY, ORDER BY, LIMIT. */
  readonly rest?: string;
}

export type AskBasin = (question: Question) => Promise<readonly Row[]>;

export function askBasin(link: Pick<DatabaseLink, "query">, basin: string): AskBasin {
  return ({ select, from, where, rest = "" }) => {
    const conditions = ["basin = $basin", ...(where === undefined ? [] : [where])].join(" AND ");
    const source = `"${policyOf[from]}"."${from}"`;
    return link.query(`SELECT ${select.join(", ")} FROM ${source} WHERE ${conditions} ${rest}`.trim(), { basin });
  };
}

/** So many rows at once: of a longer answer the database itself does not tell whether it is whole. */
export const page = 10_000;

/** All rows of the answer, a page at a time. */
export async function askAll(ask: AskBasin, question: Question): Promise<Row[]> {
  const rows: Row[] = [];
  for (;;) {
    const rest = `${question.rest ?? ""} LIMIT ${page} OFFSET ${rows.length}`.trim();
    const some = await ask({ ...question, rest });
    for (const row of some) rows.push(row);
    if (some.length < page) return rows;
  }
}

/** So many groups at once: they fit a page, for each further page of an answer the database sums all of it up again. */
const groups = 5000;

/**
 * What is summed up by equal parts of time, oldest first; a part without a point is left out.
 * @param each_s whole seconds; parts begin at multiples of it
 */
export async function askByTime(
  ask: AskBasin,
  { select, from }: Pick<Question, "select" | "from">,
  { from_s, to_s }: Span,
  each_s: number,
): Promise<Row[]> {
  const rows: Row[] = [];
  const rest = `GROUP BY time(${each_s}s) fill(none)`;
  for (let begin_s = from_s; begin_s <= to_s; ) {
    const end_s = (Math.floor(begin_s / each_s) + groups) * each_s;
    const where = timeCondition(begin_s, Math.min(to_s, end_s - microsecond_s));
    for (const row of await ask({ select, from, where, rest })) rows.push(row);
    begin_s = end_s;
  }
  return rows;
}

/** To which times are told apart here. */
const microsecond_s = 1e-6;
