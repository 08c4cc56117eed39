// Which rows of a long table stand in the page, and how cycles that arrive are put among those that are there. Pure.

import type { Cycle } from "../../analysis/cycles/cycle.ts";

export interface RowWindow {
  readonly scrollTop: number;
  readonly viewport: number;
  readonly rowHeight: number;
  readonly count: number;
}

/** Rows kept above and below what is seen, so that a flick shows no blank. */
const spare = 8;

/** From the first row (0) to the last, end exclusive. */
export function rowsInView({ scrollTop, viewport, rowHeight, count }: RowWindow): { from: number; to: number } {
  const first = Math.floor(scrollTop / rowHeight) - spare;
  const last = Math.ceil((scrollTop + viewport) / rowHeight) + spare;
  const to = Math.min(count, Math.max(0, last));
  return { from: Math.min(to, Math.max(0, first)), to };
}

/** Newest first; a cycle that is told again replaces what was told before. */
export function mergeCycles(held: readonly Cycle[], arrived: readonly Cycle[]): Cycle[] {
  const byStart = new Map(held.map((cycle) => [cycle.startedAt_s, cycle]));
  for (const cycle of arrived) byStart.set(cycle.startedAt_s, cycle);
  return [...byStart.values()].sort((a, b) => b.startedAt_s - a.startedAt_s);
}

/**
 * What is held after the newest have been asked for again. What the answer reaches over is as the answer says; older ones
 * stay if they join on to it, else they are fetched again as they are neared.
 *
 * @param newest newest first, at most `most` of them
 */
export function renewCycles(held: readonly Cycle[], newest: readonly Cycle[], most: number): Renewed {
  const oldest = newest.at(-1);
  if (oldest === undefined || newest.length < most) return { cycles: newest, reach: "whole" };
  const joins = (held[0]?.startedAt_s ?? Number.NEGATIVE_INFINITY) >= oldest.startedAt_s;
  if (!joins) return { cycles: newest, reach: "newest" };
  const older = held.filter((cycle) => cycle.startedAt_s < oldest.startedAt_s);
  return { cycles: [...newest, ...older], reach: "as before" };
}

export interface Renewed {
  readonly cycles: readonly Cycle[];
  /** The whole record, only its newest cycles, or as far back as what was held. */
  readonly reach: "whole" | "newest" | "as before";
}
