// What one or two fingers on a chart do to the visible stretch of time. Pure.

import type { Span } from "../../daemon/stores/store.ts";

/**
 * The span after fingers have moved, so that each finger stays on its moment.
 *
 * @param before, after where the one or two fingers stand, as shares of the width
 * @returns null for a movement too small to tell from none
 */
export function stretched(span: Span, before: readonly number[], after: readonly number[]): Span | null {
  const [a0, a1] = [before[0], after[0]];
  if (a0 === undefined || a1 === undefined) return null;
  const wide_s = span.to_s - span.from_s;
  const [b0, b1] = [before[1], after[1]];
  if (b0 === undefined || b1 === undefined) {
    if (Math.abs(a1 - a0) < 0.004) return null;
    const from_s = span.from_s - (a1 - a0) * wide_s;
    return { from_s, to_s: from_s + wide_s };
  }
  if (Math.abs(b1 - a1) < 0.02) return null;
  const newWide_s = (wide_s * Math.abs(b0 - a0)) / Math.abs(b1 - a1);
  const middle_s = span.from_s + ((a0 + b0) / 2) * wide_s;
  const from_s = middle_s - ((a1 + b1) / 2) * newWide_s;
  return { from_s, to_s: from_s + newWide_s };
}
