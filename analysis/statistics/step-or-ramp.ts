// Did a series change at once or by and by? A step held against a ramp by least squares, each where it fits best.

export interface CourseOfChange {
  readonly course: "step" | "ramp";
  /** Index of the last value before the change, and of the first after it. */
  readonly from: number;
  readonly to: number;
  /** Level of the series before and after, in its own unit. */
  readonly before: number;
  readonly after: number;
}

/** So many values must stand before a change, and on either side of one that takes longer than a step. */
const side = 3;
/** A step spread over a block of averaged values fills one value between its levels. */
const stepWidth = 2;
/** F of one further parameter, 0.2 % by chance with many values: below it a ramp explains no more than a step. */
const clearF = 10;

/**
 * Fits y = before up to one index, after from a later one on, and a straight line between; a step is the case of
 * neighbouring indices.
 *
 * @param y the series, evenly spaced, at least 8 values
 * @returns null with fewer values, or where nothing changes
 */
export function stepOrRamp(y: readonly number[]): CourseOfChange | null {
  const n = y.length;
  if (n < 2 * side + 2) return null;
  let step: Fit | null = null;
  let ramp: Fit | null = null;
  for (let from = side - 1; from < n - 1; from += 1) {
    for (let to = from + 1; to < n; to += 1) {
      const isStep = to <= from + stepWidth;
      // What has only just come may be either, and counts as a step; a longer ramp may still be going on at the end.
      if (!isStep && (from >= n - side || (to > n - side && to < n - 1))) continue;
      const fit = fitHinges(y, from, to);
      if (ramp === null || fit.squares < ramp.squares) ramp = fit;
      if (isStep && (step === null || fit.squares < step.squares)) step = fit;
    }
  }
  if (step === null || ramp === null || step.before === step.after) return null;
  const noise = ramp.squares / Math.max(1, n - 4);
  const rampIsClear = step.squares - ramp.squares > clearF * noise;
  const { from, to, before, after } = rampIsClear ? ramp : step;
  return { course: rampIsClear ? "ramp" : "step", from, to, before, after };
}

interface Fit {
  readonly from: number;
  readonly to: number;
  readonly before: number;
  readonly after: number;
  readonly squares: number;
}

/** Least squares of y on x = 0 before, 1 after and a line between. */
function fitHinges(y: readonly number[], from: number, to: number): Fit {
  const n = y.length;
  let sumX = 0;
  let sumY = 0;
  let sumXX = 0;
  let sumXY = 0;
  let sumYY = 0;
  for (let i = 0; i < n; i += 1) {
    const x = i <= from ? 0 : i >= to ? 1 : (i - from) / (to - from);
    const value = y[i] ?? Number.NaN;
    sumX += x;
    sumY += value;
    sumXX += x * x;
    sumXY += x * value;
    sumYY += value * value;
  }
  const spread = sumXX - (sumX * sumX) / n;
  const change = (sumXY - (sumX * sumY) / n) / spread;
  const before = (sumY - change * sumX) / n;
  const squares = Math.max(0, sumYY - (sumY * sumY) / n - change * change * spread);
  return { from, to, before, after: before + change, squares };
}
