// Asks the shared database about one basin. Names come from our own lists and values go as parameters, so that nothing in
// either can change what is asked.

import type { DatabaseLink } from "./database-link.ts";
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
