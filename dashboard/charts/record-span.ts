// Which stretch of the record both charts show, and whether it follows the present.

import { batch, computed, signal } from "@preact/signals";
import type { Span } from "../../daemon/stores/store.ts";
import { live, now_s } from "../live.ts";
import { go } from "../route.ts";
import { clampSpan, followSpan, limitsOf, panSpan, presetSpan, sameSpan, width_s, zoomSpan } from "./span.ts";

const usual_s = 6 * 3600;

/** Null until there is a record. */
export const visible = signal<Span | null>(null);
export const follow = signal(true);
/** The moment that is pointed at in either chart; null when none is. */
export const pointed = signal<number | null>(null);
/** Why the span changed last: a gesture's request waits for a pause, time's does not. */
export const movedBy = signal<"gesture" | "time">("gesture");

export const limits = computed<Span | null>(() => {
  const record = live.value?.span ?? null;
  return record === null ? null : limitsOf(record, now_s.value);
});

/** Keeps up with the present by whole pixels of so many columns. Call whenever time has passed. */
export function keepUp(columns: number): void {
  if (!limits.value || (visible.value && !follow.value)) return;
  const wide_s = visible.value ? width_s(visible.value) : usual_s;
  const next = followSpan(wide_s, now_s.value);
  const shift_s = visible.value ? next.to_s - visible.value.to_s : Number.POSITIVE_INFINITY;
  if (Math.abs(shift_s) >= wide_s / columns) move(next, true, "time");
}

/** Shows another stretch, as a gesture wants it; the present is no longer followed. */
export function show(span: Span): void {
  if (limits.value) move(clampSpan(span, limits.value), false, "gesture");
}

export function zoom(factor: number, anchor_s?: number): void {
  const [span, within] = [visible.value, limits.value];
  if (!span || !within) return;
  // While following, the present stays where it is and the width changes.
  if (follow.value && anchor_s === undefined) {
    const wide_s = width_s(zoomSpan(span, now_s.value, factor, within));
    move(followSpan(wide_s, now_s.value), true, "gesture");
    return;
  }
  move(zoomSpan(span, anchor_s ?? (span.from_s + span.to_s) / 2, factor, within), false, "gesture");
}

export function pan(share: number): void {
  const [span, within] = [visible.value, limits.value];
  if (span && within) move(panSpan(span, share, within), false, "gesture");
}

/** The last so many seconds, following; or the whole record for null. */
export function preset(wide_s: number | null): void {
  const record = live.value?.span;
  if (record) move(presetSpan(wide_s, record, now_s.value), wide_s !== null, "gesture");
}

export function followNow(): void {
  if (visible.value) move(followSpan(width_s(visible.value), now_s.value), true, "gesture");
}

export function toBeginning(): void {
  const [span, within] = [visible.value, limits.value];
  if (span && within) show({ from_s: within.from_s, to_s: within.from_s + width_s(span) });
}

/** Opens the record view at a stretch, with as much again around it. */
export function showInRecord(from_s: number, to_s: number): void {
  const air_s = Math.max(300, (to_s - from_s) / 2);
  show({ from_s: from_s - air_s, to_s: to_s + air_s });
  go("record");
}

function move(span: Span, following: boolean, reason: "gesture" | "time"): void {
  batch(() => {
    follow.value = following;
    movedBy.value = reason;
    if (!visible.value || !sameSpan(visible.value, span)) visible.value = span;
  });
}
