// Which basins are shown, and in what order: most urgent first, those that fit what was typed, by group if wanted. Pure.

import type { OverviewRow } from "../../daemon/central/central-types.ts";
import type { Tier } from "../../daemon/central/urgency.ts";

export interface Wish {
  /** Every word of it has to be found somewhere in the row. */
  readonly words: string;
  readonly tier: Tier | null;
  /** Null: every group. */
  readonly group: string | null;
  readonly byGroup: boolean;
}

export interface Part {
  /** Null: not by group. */
  readonly group: string | null;
  readonly rows: readonly OverviewRow[];
}

const collator = new Intl.Collator("en", { numeric: true, sensitivity: "base" });

export function arrange(rows: Iterable<OverviewRow>, wish: Wish): Part[] {
  const words = plain(wish.words).split(/\s+/).filter(Boolean);
  const shown = [...rows].filter((row) => fits(row, wish, words)).sort(byUrgency);
  if (!wish.byGroup) return shown.length === 0 ? [] : [{ group: null, rows: shown }];
  // In the order of the most urgent of each, as they come.
  return [...Map.groupBy(shown, groupOf)].map(([group, those]) => ({ group, rows: those }));
}

/** Of what tier a basin is: that of the most urgent thing that is true of it. */
export function tierOf({ conditions }: OverviewRow): Tier {
  return conditions[0]?.tier ?? "well";
}

export function countTiers(rows: Iterable<OverviewRow>): Record<Tier, number> {
  const counts = { now: 0, silent: 0, soon: 0, service: 0, well: 0 };
  for (const row of rows) counts[tierOf(row)]++;
  return counts;
}

export const noGroup = "No group";

export function groupOf({ group }: OverviewRow): string {
  return group ?? noGroup;
}

export function groupsOf(rows: Iterable<OverviewRow>): string[] {
  return [...new Set([...rows].map(groupOf))].sort(collator.compare);
}

/** Among equals what has lasted longest comes first, then the name. */
function byUrgency(a: OverviewRow, b: OverviewRow): number {
  const [first, other] = [a.conditions[0], b.conditions[0]];
  const rank = (first?.rank ?? 99) - (other?.rank ?? 99);
  if (rank !== 0) return rank;
  const since = (first?.since_s ?? 0) - (other?.since_s ?? 0);
  return since !== 0 ? since : collator.compare(a.title, b.title);
}

function fits(row: OverviewRow, { tier, group }: Wish, words: readonly string[]): boolean {
  if (tier !== null && tierOf(row) !== tier) return false;
  if (group !== null && groupOf(row) !== group) return false;
  if (words.length === 0) return true;
  const text = searched(row);
  return words.every((word) => text.includes(word));
}

const texts = new WeakMap<OverviewRow, string>();

function searched(row: OverviewRow): string {
  const known = texts.get(row);
  if (known !== undefined) return known;
  const { name, title, group, place, customer, contact } = row;
  const text = plain([name, title, group, place, customer, contact].filter((part) => part !== null).join(" "));
  texts.set(row, text);
  return text;
}

/** So that `strasse` finds `Straße`, and `ecole` `École`. */
function plain(text: string): string {
  return text.toLowerCase().replaceAll("ß", "ss").normalize("NFKD").replaceAll(/\p{M}/gu, "");
}
