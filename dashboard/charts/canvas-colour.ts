// The page's colours for what is drawn on a canvas, which cannot read custom properties by itself.

import { repaint } from "../preferences.ts";

const known = new Map<string, string>();
let paintedAt = -1;

/** The present value of a colour token such as `--water`, light or dark as the page is. */
export function canvasColour(token: string): string {
  if (paintedAt !== repaint.peek()) {
    known.clear();
    paintedAt = repaint.peek();
  }
  const found = known.get(token) ?? resolve(token);
  known.set(token, found);
  return found;
}

function resolve(token: string): string {
  const probe = document.createElement("i");
  probe.style.color = `var(${token})`;
  document.body.append(probe);
  const { color } = getComputedStyle(probe);
  probe.remove();
  return color;
}
