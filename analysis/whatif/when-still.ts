// What many cycles show of a float or of water that ran back, freed of how late a start or a stop is seen.

import { medianInPlace } from "../statistics/median.ts";

/** Fewer runs than these show no usual run. */
const fewest = 3;

/** The middle one of many; null of too few. */
export function usual(values: readonly number[]): number | null {
  return values.length < fewest ? null : medianInPlace(values.slice());
}

/**
 * A figure as it is in still water. Starts and stops are seen a moment late, and the water has risen meanwhile, the more
 * the faster it rises: the line of what was seen against the rise is followed down to none, odd ones left out.
 */
export function whenStill(
  seen: readonly number[],
  rise: readonly number[],
  mostLate_s: number,
): { readonly value: number; readonly scatter: number } | null {
  const middle = usual(seen);
  if (middle === null) return null;
  let kept = seen.map((_, i) => i);
  let line = { intercept: middle, slope: 0 };
  const off = (i: number) => (seen[i] as number) - line.intercept - line.slope * (rise[i] as number);
  for (let pass = 0; pass < passes && kept.length >= enoughForLine; pass += 1) {
    const [x, y] = [kept.map((i) => rise[i] as number), kept.map((i) => seen[i] as number)];
    line = lineThrough(x, y, mostLate_s);
    const scatter = scatterOf(kept.map(off));
    const within = kept.filter((i) => Math.abs(off(i)) <= odd * scatter);
    if (within.length < enoughForLine) break;
    kept = within;
  }
  return { value: line.intercept, scatter: scatterOf(kept.map(off)) };
}

const odd = 4;
const differing = 0.15;
const enoughForLine = 8;
const passes = 4;

/** A start is seen late, never early: the line does not fall. The faster the water rises, the less each sight of it says. */
function lineThrough(
  x: readonly number[],
  y: readonly number[],
  mostLate_s: number,
): { intercept: number; slope: number } {
  const usually = Math.max(1e-12, medianInPlace(x.slice()));
  const weights = x.map((value) => (usually / (usually + Math.max(0, value))) ** 2);
  const all = weights.reduce((sum, weight) => sum + weight, 0);
  const mean = (of: (i: number) => number) => weights.reduce((sum, weight, i) => sum + weight * of(i), 0) / all;
  const [mx, my] = [mean((i) => x[i] as number), mean((i) => y[i] as number)];
  const sxx = mean((i) => ((x[i] as number) - mx) ** 2);
  const sxy = mean((i) => ((x[i] as number) - mx) * ((y[i] as number) - my));
  // Rises that are all alike show no line.
  const slope = Math.sqrt(sxx) > differing * mx ? Math.min(mostLate_s, Math.max(0, sxy / sxx)) : 0;
  return { intercept: my - slope * mx, slope };
}

/** Standard deviation about 0, few odd ones not counting. */
export function scatterOf(values: readonly number[]): number {
  return 1.4826 * medianInPlace(values.map(Math.abs));
}
