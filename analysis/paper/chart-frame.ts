// Axes of a small chart in SVG: scales, round ticks, grid and names. What is drawn inside belongs to each chart.

import { type Html, html } from "./html.ts";

export interface Size {
  readonly width: number;
  readonly height: number;
}

export interface Axis {
  readonly from: number;
  readonly to: number;
  /** What is measured, and its unit: `Flow, gpm`. */
  readonly name: string;
  /** By default round numbers. */
  readonly ticks?: readonly Tick[];
}

export interface Tick {
  readonly at: number;
  readonly word: string;
}

export interface Frame {
  readonly x: (value: number) => number;
  readonly y: (value: number) => number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  /** Grid, numbers and names. */
  readonly axes: Html;
}

/** `name`: what of the bottom the name of the axis takes. */
const room = { left: 46, right: 14, top: 24, bottom: 40, name: 16 };

/** @param size of the whole drawing, in the units of its view box: as many as pixels, so that letters keep their size */
export function chartFrame({ width, height }: Size, across: Axis, up: Axis): Frame {
  const below = across.name === "" ? room.bottom - room.name : room.bottom;
  const [left, right, top, bottom] = [room.left, width - room.right, room.top, height - below];
  const x = scale(across, left, right);
  const y = scale(up, bottom, top);
  const acrossTicks = across.ticks ?? roundTicks(across, Math.max(2, Math.floor((right - left) / 70)));
  const upTicks = up.ticks ?? roundTicks(up, Math.max(2, Math.floor((bottom - top) / 28)));
  const axes = html`<g class="grid">${upTicks.map(({ at }) => html`<path d="M${n(left)} ${n(y(at))}H${n(right)}"/>`)}${acrossTicks.map(({ at }) => html`<path d="M${n(x(at))} ${n(top)}V${n(bottom)}"/>`)}</g>
<path class="axis" d="M${n(left)} ${n(top)}V${n(bottom)}H${n(right)}"/>
<g class="ticks">${upTicks.map(({ at, word }) => html`<text x="${n(left - 6)}" y="${n(y(at) + 4)}" text-anchor="end">${word}</text>`)}${acrossTicks.map(({ at, word }) => html`<text x="${n(x(at))}" y="${n(bottom + 16)}" text-anchor="middle">${word}</text>`)}</g>
<text class="axis-name" x="${n(right)}" y="${n(height - 6)}" text-anchor="end">${across.name}</text>
<text class="axis-name" x="4" y="13">${up.name}</text>`;
  return { x, y, left, right, top, bottom, axes };
}

function scale({ from, to }: Axis, low: number, high: number): (value: number) => number {
  const span = to - from || 1;
  return (value) => low + ((value - from) / span) * (high - low);
}

/** About so many ticks, at 1, 2 or 5 times a power of ten. */
export function roundTicks({ from, to }: Pick<Axis, "from" | "to">, most: number): Tick[] {
  const rough = (to - from) / Math.max(1, most);
  if (!(rough > 0)) return [{ at: from, word: String(from) }];
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5, 10].find((times) => times * power >= rough * 0.999) ?? 10) * power;
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const ticks: Tick[] = [];
  for (let i = Math.ceil(from / step - 1e-9); i * step <= to + 1e-9 * step; i++) {
    ticks.push({ at: i * step, word: (i * step).toFixed(decimals) });
  }
  return ticks;
}

/** The axis from 0 to a little over the largest value. */
export function upTo(largest: number): { readonly from: 0; readonly to: number } {
  return { from: 0, to: largest > 0 ? largest * 1.06 : 1 };
}

/** A coordinate, to a tenth. */
export function n(value: number): string {
  return String(Math.round(value * 10) / 10);
}

/** A line through the points, broken where one is null. */
export function linePath(points: readonly (readonly [x: number, y: number] | null)[]): string {
  let path = "";
  let pen = "M";
  for (const point of points) {
    if (point === null) pen = "M";
    else {
      path += `${pen}${n(point[0])} ${n(point[1])}`;
      pen = "L";
    }
  }
  return path;
}
