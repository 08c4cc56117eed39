// The stretch of time that the charts show: zoom, pan, presets and how many points to ask for. Pure arithmetic.

import type { Span } from "../../daemon/stores/store.ts";

/** The shortest stretch that can be shown. */
export const shortestSpan_s = 30;

export function width_s(span: Span): number {
  return span.to_s - span.from_s;
}

/** What can be looked at: the record, to the present, with a little air on both sides. */
export function limitsOf(record: Span, now_s: number): Span {
  const to_s = Math.max(record.to_s, now_s);
  const air_s = Math.max(shortestSpan_s, (to_s - record.from_s) * 0.02);
  return { from_s: record.from_s - air_s, to_s: to_s + air_s };
}

/** Keeps a span within limits: as wide as it was if it fits, else the limits themselves; never shorter than the shortest. */
export function clampSpan(span: Span, limits: Span): Span {
  const widest_s = Math.max(shortestSpan_s, width_s(limits));
  const wide_s = Math.min(Math.max(width_s(span), shortestSpan_s), widest_s);
  const middle_s = (span.from_s + span.to_s) / 2;
  const from_s = width_s(span) === wide_s ? span.from_s : middle_s - wide_s / 2;
  const latest_s = limits.from_s + widest_s - wide_s;
  const kept_s = Math.min(Math.max(from_s, limits.from_s), latest_s);
  return { from_s: kept_s, to_s: kept_s + wide_s };
}

/**
 * Zooms so that the anchor stays where it is on the screen.
 *
 * @param factor above 1 shows less time, below 1 shows more
 */
export function zoomSpan(span: Span, anchor_s: number, factor: number, limits: Span): Span {
  const wanted_s = width_s(span) / factor;
  const wide_s = Math.min(Math.max(wanted_s, shortestSpan_s), Math.max(shortestSpan_s, width_s(limits)));
  const share = (anchor_s - span.from_s) / width_s(span);
  const from_s = anchor_s - share * wide_s;
  return clampSpan({ from_s, to_s: from_s + wide_s }, limits);
}

/** Moves by a share of the width; above 0 goes later. */
export function panSpan(span: Span, share: number, limits: Span): Span {
  const by_s = width_s(span) * share;
  return clampSpan({ from_s: span.from_s + by_s, to_s: span.to_s + by_s }, limits);
}

/** The last so many seconds before now, or the whole record for null. */
export function presetSpan(wide_s: number | null, record: Span, now_s: number): Span {
  const limits = limitsOf(record, now_s);
  if (wide_s === null) return clampSpan(limits, limits);
  return followSpan(wide_s, now_s);
}

/** A span that ends a little after now, so that the newest point does not stick to the edge. */
export function followSpan(wide_s: number, now_s: number): Span {
  const to_s = now_s + wide_s * 0.02;
  return { from_s: to_s - wide_s, to_s };
}

/** What to ask of the API for a visible span: a quarter more on each side, so that a short pan already has its data. */
export function requestFor(span: Span, columns: number): { span: Span; points: number } {
  const air_s = width_s(span) / 4;
  return {
    span: { from_s: span.from_s - air_s, to_s: span.to_s + air_s },
    points: Math.max(50, Math.round(columns * 1.2)),
  };
}

export function contains(outer: Span, inner: Span): boolean {
  return outer.from_s <= inner.from_s && outer.to_s >= inner.to_s;
}

export function sameSpan(a: Span, b: Span): boolean {
  return a.from_s === b.from_s && a.to_s === b.to_s;
}
