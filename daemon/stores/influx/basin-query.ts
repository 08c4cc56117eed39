// Asks the shared database about one basin. Names come from our own lists and values go as parameters, so that nothing in
// either can change what is asked.

import type { DatabaseLink } from "./database-link.ts";
import type { Row } from "./line-values.ts";
import { type Measurement, policyOf } from "./point.ts";

export interface Question {
  /** What to select: columns, or sums of them. */
  readonly select: readonly string[];
  readonly from: Measurement;
  /** What of each point the sums are of, where that is not columns. */
  readonly of?: readonly string[];
  /** A condition beside the basin. */
  readonly where?: string;
  /** What comes after the conditions: GROUP BY, ORDER BY, LIMIT. */
  readonly rest?: string;
}

export type AskBasin = (question: Question) => Promise<readonly Row[]>;

export function askBasin(link: Pick<DatabaseLink, "query">, basin: string): AskBasin {
  return ({ select, from, of, where, rest = "" }) => {
    const conditions = ["basin = $basin", ...(where === undefined ? [] : [where])].join(" AND ");
    const points = `"${policyOf[from]}"."${from}" WHERE ${conditions}`;
    const source = of === undefined ? points : `(SELECT ${of.join(", ")} FROM ${points}) WHERE ${where ?? "time >= 0"}`;
    return link.query(`SELECT ${select.join(", ")} FROM ${source} ${rest}`.trim(), { basin });
  };
}
