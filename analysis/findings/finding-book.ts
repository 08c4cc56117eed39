// The book of findings: runs every rule over every reading, opens and closes findings with their delays.

import type { Ceasing, Finding, FindingChange, FindingKind } from "./finding.ts";
import type { Rule, View } from "./rule.ts";

interface Entry {
  /** Since when the condition has held, or has not held while the finding is open. */
  changedAt_s: number | null;
  /** Readings at which it has held so far. */
  held: number;
  open: Finding | null;
  /** Beginning of the latest finding, open or over; null before the first. */
  latestFrom_s: number | null;
}

export interface FindingBookState {
  entries: Entry[];
  /** Some finding is open or about to be. */
  busy: boolean;
}

export function newFindingBook(rules: readonly Rule[]): FindingBookState {
  const entries = rules.map(() => ({ changedAt_s: null, held: 0, open: null, latestFrom_s: null }));
  return { entries, busy: false };
}

/** Over a gap nothing was seen to last: what was about to count begins anew. What is open stays open. */
export function forgetPending(book: FindingBookState): void {
  for (const entry of book.entries) if (entry.open === null) entry.changedAt_s = null;
}

/** Those of the open findings whose condition has not held since then: over soon, unless it holds again. */
export function ceasingFindings(book: FindingBookState): Ceasing[] {
  return book.entries.flatMap(({ open, changedAt_s }) =>
    open === null || changedAt_s === null ? [] : [{ kind: open.kind, from_s: open.from_s, since_s: changedAt_s }],
  );
}

type Output = (finding: Finding, change: FindingChange) => void;

export function judge(book: FindingBookState, rules: readonly Rule[], view: View, output: Output): void {
  book.busy = false;
  for (let i = 0; i < rules.length; i += 1) {
    const rule = rules[i];
    const entry = book.entries[i];
    if (rule === undefined || entry === undefined) continue;
    if (entry.open === null && entry.changedAt_s === null && isIdle(rule, view)) continue;
    const holds = rule.holds(view, entry.open);
    if (holds !== null && entry.open !== null) whileOpen(entry, rule, view, holds, output);
    else if (holds !== null && hasHeld(entry, rule, view, holds)) open(book, rules, i, view, output);
    if (entry.open !== null || entry.changedAt_s !== null) book.busy = true;
  }
}

/** Its finding is shut, and cannot come true now. */
function isIdle(rule: Rule, view: View): boolean {
  return (view.noNews && rule.onlyOnNews === true) || (view.allWell && rule.onlyInTrouble === true);
}

export function openFindings(book: FindingBookState): Finding[] {
  return book.entries.flatMap((entry) => (entry.open === null ? [] : [entry.open]));
}

/** Whether a finding of that kind is open: asked at every reading of a run. */
export function isOpen({ entries }: FindingBookState, kind: FindingKind): boolean {
  for (const { open } of entries) if (open !== null && open.kind === kind) return true;
  return false;
}

/** Of a rule whose finding is shut: whether its condition has held for long enough. */
function hasHeld(entry: Entry, rule: Rule, view: View, holds: boolean): boolean {
  entry.held = !holds ? 0 : entry.changedAt_s === null ? 1 : entry.held + 1;
  entry.changedAt_s = holds ? (entry.changedAt_s ?? view.time_s) : null;
  if (entry.changedAt_s === null || view.time_s - entry.changedAt_s < rule.onDelay_s) return false;
  return entry.held >= (rule.onReadings?.(view) ?? 1);
}

function open(book: FindingBookState, rules: readonly Rule[], i: number, view: View, output: Output): void {
  const rule = rules[i];
  const entry = book.entries[i];
  if (rule === undefined || entry === undefined || entry.changedAt_s === null) return;
  const { kind, severity } = rule;
  const evidence = rule.evidence(view);
  const from_s = besides(book, rules, kind, entry.changedAt_s);
  entry.open = { kind, severity, from_s, to_s: null, evidence, message: rule.message(view, evidence) };
  entry.latestFrom_s = from_s;
  entry.changedAt_s = null;
  output(entry.open, "began");
}

/** A finding is known by its kind and its beginning: two rules of one kind that begin together differ by a moment. */
const moment_s = 0.001;

function besides({ entries }: FindingBookState, rules: readonly Rule[], kind: FindingKind, from_s: number): number {
  let free_s = from_s;
  while (entries.some(({ latestFrom_s }, i) => rules[i]?.kind === kind && latestFrom_s === free_s)) free_s += moment_s;
  return free_s;
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
