// Stretches of inflow as rows, one by its beginning.

import type { DatabaseSync } from "node:sqlite";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { Span } from "../store.ts";
import { number } from "./row.ts";

export interface InflowTable {
  put(stretch: InflowStretch): void;
  clear(): void;
  /** Those that overlap the span, oldest first. */
  within(span: Span): InflowStretch[];
}

export function inflowTable(database: DatabaseSync): InflowTable {
  const put = database.prepare("REPLACE INTO inflow VALUES (?, ?, ?, ?)");
  const clear = database.prepare("DELETE FROM inflow");
  const within = database.prepare("SELECT * FROM inflow WHERE from_s <= ? AND to_s >= ? ORDER BY from_s", {
    returnArrays: true,
  });
  return {
    put: (s) => {
      put.run(s.from_s, s.to_s, s.inflow_m3s, s.uInflow_m3s);
    },
    clear: () => {
      clear.run();
    },
    within: (span) =>
      within.all(span.to_s, span.from_s).map((row) => ({
        from_s: number(row[0]),
        to_s: number(row[1]),
        inflow_m3s: number(row[2]),
        uInflow_m3s: number(row[3]),
      })),
  };
}
