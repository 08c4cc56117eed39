// What is drawn on a chart beside its series: shading of runs, lines at levels that matter, marks of the pump.

import type uPlot from "uplot";
import { canvasColour } from "./canvas-colour.ts";
import type { PumpMark } from "./columns.ts";
import { type Run, runCoverage } from "./run-coverage.ts";

/** Shades each pixel column by the share of its time in which the pump ran. */
export function paintRuns(u: uPlot, runs: readonly Run[]): void {
  const { min: from_s, max: to_s } = u.scales.x ?? {};
  if (from_s == null || to_s == null || !(to_s > from_s)) return;
  const { left, top, width, height } = u.bbox;
  const columns = Math.max(1, Math.round(width / devicePixelRatio));
  const coverage = runCoverage(runs, { from_s, to_s }, columns);
  const { ctx } = u;
  const columnWidth = width / columns;
  ctx.save();
  ctx.fillStyle = canvasColour("--run");
  for (let column = 0; column < columns; column++) {
    const share = coverage[column] ?? 0;
    if (share === 0) continue;
    ctx.globalAlpha = 0.1 + 0.34 * share;
    ctx.fillRect(left + column * columnWidth, top, columnWidth, height);
  }
  ctx.restore();
}

export interface LevelLine {
  readonly value: number;
  readonly word: string;
  readonly token: string;
  /** The word stands below the line, where above it would cover the curve. */
  readonly below?: boolean;
}

/** A dashed line with its word at each level that matters. */
export function paintLevels(u: uPlot, lines: readonly LevelLine[]): void {
  const { ctx, bbox } = u;
  ctx.save();
  ctx.font = `${12 * devicePixelRatio}px system-ui, sans-serif`;
  ctx.textAlign = "right";
  for (const { value, word, token, below = false } of lines) {
    const y = Math.round(u.valToPos(value, "y", true));
    if (y < bbox.top) continue;
    ctx.strokeStyle = ctx.fillStyle = canvasColour(token);
    ctx.lineWidth = devicePixelRatio;
    ctx.setLineDash([6 * devicePixelRatio, 5 * devicePixelRatio]);
    ctx.beginPath();
    ctx.moveTo(bbox.left, y);
    ctx.lineTo(bbox.left + bbox.width, y);
    ctx.stroke();
    ctx.lineWidth = 4 * devicePixelRatio;
    ctx.setLineDash([]);
    ctx.strokeStyle = canvasColour("--paper");
    ctx.textBaseline = below ? "top" : "bottom";
    const [wordX, wordY] = [bbox.left + bbox.width - 4 * devicePixelRatio, y + (below ? 4 : -2) * devicePixelRatio];
    ctx.strokeText(word, wordX, wordY);
    ctx.fillText(word, wordX, wordY);
  }
  ctx.restore();
}

/**
 * What the pump moved: a plank over its spread with a bar at its mean.
 *
 * @param wide_s how much time a plank covers
 */
export function paintPump(u: uPlot, marks: readonly PumpMark[], wide_s: number): void {
  const { ctx, bbox } = u;
  const dpr = devicePixelRatio;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  ctx.fillStyle = canvasColour("--pump");
  const half = Math.max(4 * dpr, (u.valToPos(wide_s, "x", true) - u.valToPos(0, "x", true)) * 0.36);
  for (const { time_s, rate, low, high } of marks) {
    const x = u.valToPos(time_s, "x", true);
    if (x < bbox.left - half || x > bbox.left + bbox.width + half) continue;
    const [yLow, yHigh] = [u.valToPos(low, "y", true), u.valToPos(high, "y", true)];
    ctx.globalAlpha = 0.3;
    ctx.fillRect(x - half, yHigh, 2 * half, Math.max(dpr, yLow - yHigh));
    ctx.globalAlpha = 1;
    ctx.fillRect(x - half, u.valToPos(rate, "y", true) - dpr, 2 * half, 2 * dpr);
  }
  ctx.restore();
}
