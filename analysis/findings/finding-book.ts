// The book of findings: runs every rule over every reading, opens and closes findings with their delays.

import type { Evidence, Finding, FindingChange } from "./finding.ts";
import type { Rule, View } from "./rule.ts";

interface Entry {
  /** Since when the condition has held, or has not held while the finding is open. */
  changedAt_s: number | null;
  open: Finding | null;
  evidence: Evidence | null;
}

export interface FindingBookState {
  entries: Entry[];
  /** Some finding is open or about to be. */
  busy: boolean;
}

export function newFindingBook(rules: readonly Rule[]): FindingBookState {
  return { entries: rules.map(() => ({ changedAt_s: null, open: null, evidence: null })), busy: false };
}

/** Over a gap nothing was seen to last: what was about to count begins anew. What is open stays open. */
export function forgetPending(book: FindingBookState): void {
  for (const entry of book.entries) if (entry.open === null) entry.changedAt_s = null;
}

type Output = (finding: Finding, change: FindingChange) => void;

export function judge(book: FindingBookState, rules: readonly Rule[], view: View, output: Output): void {
  book.busy = false;
  for (let i = 0; i < rules.length; i += 1) {
    const rule = rules[i];
    const entry = book.entries[i];
    if (rule === undefined || entry === undefined) continue;
    ask(entry, rule, view, output);
    if (entry.open !== null || entry.changedAt_s !== null) book.busy = true;
  }
}

function ask(entry: Entry, rule: Rule, view: View, output: Output): void {
  const holds = rule.holds(view, entry.open);
  if (holds === null) return;
  if (entry.open === null) whileShut(entry, rule, view, holds, output);
  else whileOpen(entry, rule, view, holds, output);
}

export function openFindings(book: FindingBookState): Finding[] {
  return book.entries.flatMap((entry) => (entry.open === null ? [] : [entry.open]));
}

function whileShut(entry: Entry, rule: Rule, view: View, holds: boolean, output: Output): void {
  if (!holds) {
    entry.changedAt_s = null;
    return;
  }
  if (entry.changedAt_s === null) {
    entry.changedAt_s = view.time_s;
    entry.evidence = rule.evidence(view);
  }
  if (view.time_s - entry.changedAt_s < rule.onDelay_s) return;
  const evidence = rule.evidence(view);
  entry.open = {
    kind: rule.kind,
    severity: rule.severity,
    from_s: entry.changedAt_s,
    to_s: null,
    evidence,
    message: rule.message(view, evidence),
  };
  entry.changedAt_s = null;
  output(entry.open, "began");
}

function whileOpen(entry: Entry, rule: Rule, view: View, holds: boolean, output: Output): void {
  if (entry.open === null) return;
  if (holds) {
    entry.changedAt_s = null;
    const worse = rule.worsen?.(entry.open.evidence, view) ?? null;
    if (worse === null) return;
    entry.open = { ...entry.open, evidence: worse, message: rule.message(view, worse) };
    output(entry.open, "updated");
    return;
  }
  entry.changedAt_s ??= view.time_s;
  if (view.time_s - entry.changedAt_s < rule.offDelay_s) return;
  const last = rule.conclude?.(entry.open, view) ?? null;
  const whole = last === null ? entry.open : { ...entry.open, evidence: last, message: rule.message(view, last) };
  output({ ...whole, to_s: entry.changedAt_s }, "ended");
  entry.open = null;
  entry.changedAt_s = null;
}
