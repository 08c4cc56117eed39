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
/** All of the record is shown, and stays so while it grows. */
export const whole = signal(false);
/** The moment that is pointed at in either chart; null when none is. */
export const pointed = signal<number | null>(null);
/** Why the span changed last: a gesture's request waits for a pause, time's does not. */
export const movedBy = signal<"gesture" | "time">("gesture");

export const limits = computed<Span | null>(() => {
  const record = live.value?.span ?? null;
  return record === null ? null : limitsOf(record, now_s.value);
});

/** What a gesture begins from: of the whole record also what has come since the last whole pixel. */
function shown(): Span | null {
  return whole.value ? limits.value : visible.value;
}

/** Keeps up with the present by whole pixels of so many columns. Call whenever time has passed. */
export function keepUp(columns: number): void {
  if (!limits.value || (visible.value && !follow.value)) return;
  const wide_s = visible.value ? width_s(visible.value) : usual_s;
  const next = whole.value ? limits.value : followSpan(wide_s, now_s.value);
  const shift_s = visible.value ? next.to_s - visible.value.to_s : Number.POSITIVE_INFINITY;
  if (Math.abs(shift_s) >= wide_s / columns) move(next, whole.value ? "whole" : "follow", "time");
}

/** Shows another stretch, as a gesture wants it; the present is no longer followed. */
export function show(span: Span): void {
  if (limits.value) stop(clampSpan(span, limits.value), limits.value);
}

export function zoom(factor: number, anchor_s?: number): void {
  const [span, within] = [shown(), limits.value];
  if (!span || !within) return;
  // While following, the present stays where it is and the width changes.
  if (follow.value && anchor_s === undefined) {
    const wide_s = width_s(zoomSpan(span, now_s.value, factor, within));
    if (covers(wide_s, within)) move(within, "whole", "gesture");
    else move(followSpan(wide_s, now_s.value), "follow", "gesture");
    return;
  }
  stop(zoomSpan(span, anchor_s ?? (span.from_s + span.to_s) / 2, factor, within), within);
}

export function pan(share: number): void {
  const [span, within] = [shown(), limits.value];
  if (span && within) stop(panSpan(span, share, within), within);
}

/** The last so many seconds, or the whole record for null; both keep up with the present. */
export function preset(wide_s: number | null): void {
  const record = live.value?.span;
  if (record) move(presetSpan(wide_s, record, now_s.value), wide_s === null ? "whole" : "follow", "gesture");
}

export function followNow(): void {
  if (visible.value && !whole.value) move(followSpan(width_s(visible.value), now_s.value), "follow", "gesture");
}

export function toBeginning(): void {
  const [span, within] = [shown(), limits.value];
  if (span && within) show({ from_s: within.from_s, to_s: within.from_s + width_s(span) });
}

/** Opens the record view at a stretch, with as much again around it. */
export function showInRecord(from_s: number, to_s: number): void {
  const air_s = Math.max(300, (to_s - from_s) / 2);
  show({ from_s: from_s - air_s, to_s: to_s + air_s });
  go("record");
}

/** Stays at a stretch while time goes on; all of the record is no stretch of it. */
function stop(span: Span, within: Span): void {
  move(span, covers(width_s(span), within) ? "whole" : "still", "gesture");
}

function covers(wide_s: number, within: Span): boolean {
  return wide_s >= width_s(within) * 0.999;
}

function move(span: Span, keeping: "still" | "follow" | "whole", reason: "gesture" | "time"): void {
  batch(() => {
    follow.value = keeping !== "still";
    whole.value = keeping === "whole";
    movedBy.value = reason;
    if (!visible.value || !sameSpan(visible.value, span)) visible.value = span;
  });
}
