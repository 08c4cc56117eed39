// What a store holds of derived things, told apart without holding it: per kind how many there are, and a digest of each
// week. A year is a few kilobytes of it.

import { createHash } from "node:crypto";
import type { Span, Store } from "../stores/store.ts";

export interface WeekDigest {
  readonly from_s: number;
  readonly count: number;
  /** Of all rows of the week in their order; null when there are none. */
  readonly digest: string | null;
}

export interface KindDigest {
  readonly name: string;
  readonly count: number;
  readonly weeks: readonly WeekDigest[];
}

const week_s = 7 * 86_400;
const everything = Number.MAX_SAFE_INTEGER;

/** Cycles, inflow and findings as they stand in the store, read week by week; nothing of an empty store. */
export function digestDerived(store: Store): KindDigest[] {
  const record = store.span();
  if (record === null) return [];
  return [
    digestKind("cycles", record, (span) => store.cycles(span, everything), byStart),
    digestKind("stretches of inflow", record, (span) => store.inflow(span, everything), byBeginning),
    digestKind("findings", record, (span) => store.findings(span, everything), byBeginning),
  ];
}

/** One line per kind: all as before, or how many there are and were, and in which weeks they differ. */
export function sayChanges(before: readonly KindDigest[], after: readonly KindDigest[]): string[] {
  return after.map(({ name, count, weeks }, index) => {
    const old = before[index];
    const others = weeks.filter(({ digest }, week) => digest !== (old?.weeks[week]?.digest ?? null));
    const [first] = others;
    if (first === undefined) return `${name}: ${count}, all as before`;
    const since = new Date(first.from_s * 1000).toISOString().slice(0, 10);
    return `${name}: ${count}, ${old?.count ?? 0} before; they differ in ${others.length} of ${weeks.length} weeks, the first from ${since} on`;
  });
}

const byStart = ({ startedAt_s }: { readonly startedAt_s: number }) => startedAt_s;
const byBeginning = ({ from_s }: { readonly from_s: number }) => from_s;

function digestKind<Row>(name: string, record: Span, rowsIn: (span: Span) => Row[], startOf: (row: Row) => number) {
  const weeks: WeekDigest[] = [];
  for (let from_s = record.from_s; from_s <= record.to_s; from_s += week_s) {
    const to_s = from_s + week_s;
    const first = weeks.length === 0;
    // What reaches over the end of a week counts in the one it begins in.
    const rows = rowsIn({ from_s, to_s }).filter((row) => startOf(row) < to_s && (first || startOf(row) >= from_s));
    weeks.push({ from_s, count: rows.length, digest: rows.length === 0 ? null : digestOf(rows) });
  }
  return { name, count: weeks.reduce((sum, { count }) => sum + count, 0), weeks };
}

function digestOf(rows: readonly unknown[]): string {
  const hash = createHash("sha256");
  for (const row of rows) hash.update(`${JSON.stringify(row)}\n`);
  return hash.digest("base64");
}
