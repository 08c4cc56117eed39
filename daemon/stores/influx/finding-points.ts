// Findings as points, one by its kind and beginning, and back; the evidence as JSON.

import * as z from "zod";
import { type Finding, findingKinds } from "../../../analysis/findings/finding.ts";
import { stamp, timeIn } from "./instant.ts";
import { knownIn, neededText, putKnown } from "./known-fields.ts";
import { type Fields, lineBoolean, numberIn, type Row } from "./line-values.ts";
import { type Point, pointOf } from "./point.ts";

/** In this order for ever: a new one comes at the end. */
const names = ["from_s", "to_s", "severity", "evidence", "message"] as const;

/** `kind` is a tag. */
export const findingColumns = [...names, "known", "kind"];

export function findingPoint(basin: string, finding: Finding): Point {
  const fields: Fields = {};
  const timestamp = stamp(fields, "from_s", finding.from_s);
  putKnown(fields, names, {
    from_s: fields.from_s === undefined ? null : finding.from_s,
    to_s: finding.to_s,
    severity: finding.severity,
    evidence: JSON.stringify(finding.evidence),
    message: finding.message,
  });
  fields.lasts = lineBoolean(finding.to_s === null); // what a query can ask for
  return pointOf("finding", basin, timestamp, fields, { kind: finding.kind });
}

const kind = z.enum(findingKinds);
const severity = z.enum(["info", "warning", "critical"]);
const evidence = z.record(z.string(), z.union([z.number(), z.string(), z.boolean(), z.null()]));

/** Null for one that was taken back, and for one of a kind that only a newer board knows. */
export function findingIn(columns: Row): Finding | null {
  const row = knownIn(columns, names);
  const { data: its } = kind.safeParse(columns.kind);
  if (row === null || its === undefined) return null;
  return {
    kind: its,
    severity: severity.parse(row.severity),
    from_s: timeIn(row, "from_s"),
    to_s: numberIn(row, "to_s"),
    evidence: evidence.parse(JSON.parse(neededText(row, "evidence"))),
    message: neededText(row, "message"),
  };
}
