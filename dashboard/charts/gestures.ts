// Fingers, wheel and keys on a chart: pinch and wheel zoom, a finger or Shift-drag moves, keys do both. Marking a
// stretch with the mouse belongs to the chart itself.

import type { Span } from "../../daemon/stores/store.ts";
import { followNow, pan, preset, show, toBeginning, visible, zoom } from "./record-span.ts";
import { stretched } from "./stretched.ts";

/**
 * Listens on the plotting area; returns what undoes it.
 *
 * @param point is told where a finger tapped, in pixels from the left
 */
export function attachGestures(area: HTMLElement, point: (left: number) => void): () => void {
  const gone = new AbortController();
  const { signal } = gone;
  const fingers = new Map<number, number>();
  let start: { span: Span; fingers: number[] } | null = null;
  let moved = false;

  const shareOf = (clientX: number) => {
    const { left, width } = area.getBoundingClientRect();
    return (clientX - left) / width;
  };
  const timeAt = (span: Span, share: number) => span.from_s + share * (span.to_s - span.from_s);
  const begin = () => {
    start = visible.value && fingers.size > 0 ? { span: visible.value, fingers: [...fingers.values()] } : null;
  };

  area.style.touchAction = "pan-y";
  area.addEventListener(
    "wheel",
    (event) => {
      if (!visible.value) return;
      event.preventDefault();
      if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) pan(event.deltaX / area.clientWidth);
      else zoom(1.0016 ** -wheelPixels(event), timeAt(visible.value, shareOf(event.clientX)));
    },
    { passive: false, signal },
  );
  area.addEventListener(
    "pointerdown",
    (event) => {
      if (event.pointerType === "mouse" && !event.shiftKey) return;
      area.setPointerCapture(event.pointerId);
      fingers.set(event.pointerId, shareOf(event.clientX));
      moved = false;
      begin();
    },
    { signal },
  );
  area.addEventListener(
    "pointermove",
    (event) => {
      if (!start || !fingers.has(event.pointerId)) return;
      fingers.set(event.pointerId, shareOf(event.clientX));
      const next = stretched(start.span, start.fingers, [...fingers.values()]);
      if (!next) return;
      moved = true;
      show(next);
    },
    { signal },
  );
  const lift = (event: PointerEvent) => {
    if (!fingers.delete(event.pointerId)) return;
    if (!moved && event.type === "pointerup") point(event.clientX - area.getBoundingClientRect().left);
    begin();
  };
  area.addEventListener("pointerup", lift, { signal });
  area.addEventListener("pointercancel", lift, { signal });
  return () => gone.abort();
}

/** Handles a key on a focused chart; false when the key means nothing here. */
export function chartKey(key: string): boolean {
  const actions: Readonly<Record<string, () => void>> = {
    ArrowLeft: () => pan(-0.2),
    ArrowRight: () => pan(0.2),
    "+": () => zoom(2),
    "=": () => zoom(2),
    "-": () => zoom(0.5),
    Home: toBeginning,
    End: followNow,
    "0": () => preset(null),
  };
  const action = actions[key];
  action?.();
  return action !== undefined;
}

function wheelPixels(event: WheelEvent): number {
  const perUnit = [1, 33, 400][event.deltaMode] ?? 1;
  return Math.max(-400, Math.min(400, event.deltaY * perUnit));
}
