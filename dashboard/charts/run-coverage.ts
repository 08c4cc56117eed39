// How much of each pixel column the pump ran: shading that reads alike from one run to a month of them.

import type { Span } from "../../daemon/stores/store.ts";

export interface Run {
  readonly startedAt_s: number;
  readonly stoppedAt_s: number;
}

/** Share of each column's time in which the pump ran, 0…1. The runs may come in any order; overlaps count once at most. */
export function runCoverage(runs: readonly Run[], span: Span, columns: number): Float32Array {
  const coverage = new Float32Array(columns);
  const perSecond = columns / (span.to_s - span.from_s);
  for (const run of runs) {
    const from = Math.max(0, (run.startedAt_s - span.from_s) * perSecond);
    const to = Math.min(columns, (run.stoppedAt_s - span.from_s) * perSecond);
    for (let column = Math.floor(from); column < to; column++) {
      const share = Math.min(to, column + 1) - Math.max(from, column);
      coverage[column] = Math.min(1, (coverage[column] ?? 0) + share);
    }
  }
  return coverage;
}
