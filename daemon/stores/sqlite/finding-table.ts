// Findings as rows, one by its kind and beginning; the evidence as JSON.

import type { DatabaseSync } from "node:sqlite";
import * as z from "zod";
import { type Finding, findingKinds } from "../../../analysis/findings/finding.ts";
import type { Span } from "../store.ts";

export interface FindingTable {
  put(finding: Finding): void;
  /** Drops those that begin then or later. */
  clear(from_s: number): void;
  /** Those that overlap the span, newest first. */
  within(span: Span, limit: number): Finding[];
}

const findingRow = z.object({
  kind: z.enum(findingKinds),
  severity: z.enum(["info", "warning", "critical"]),
  from_s: z.number(),
  to_s: z.number().nullable(),
  evidence: z
    .string()
    .transform((text): unknown => JSON.parse(text))
    .pipe(z.record(z.string(), z.union([z.number(), z.string(), z.boolean(), z.null()]))),
  message: z.string(),
});

export function findingTable(database: DatabaseSync): FindingTable {
  const put = database.prepare(
    "REPLACE INTO finding (kind, from_s, to_s, severity, evidence, message) VALUES (?, ?, ?, ?, ?, ?)",
  );
  const clear = database.prepare("DELETE FROM finding WHERE from_s >= ?");
  const within = database.prepare(
    `SELECT kind, severity, from_s, to_s, evidence, message FROM finding
     WHERE from_s <= ? AND (to_s IS NULL OR to_s >= ?) ORDER BY from_s DESC, kind LIMIT ?`,
  );
  return {
    put: (f) => {
      put.run(f.kind, f.from_s, f.to_s, f.severity, JSON.stringify(f.evidence), f.message);
    },
    clear: (from_s) => {
      clear.run(from_s);
    },
    within: (span, limit) => within.all(span.to_s, span.from_s, limit).map((row) => findingRow.parse(row)),
  };
}
