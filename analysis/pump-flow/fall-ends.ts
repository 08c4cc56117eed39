// When the pump really stopped, where its contact bounces: the water no longer falls.

import type { CurveSamples } from "../statistics/fit-curve.ts";

/** The fall before is a line over so many times what may be hidden of it: in a longer run it slows. */
const lineOf = 5;
const fewest = 5;
/** Parts of an interval between readings. */
const parts = 4;

/**
 * The mean of all the times at which the fall may have ended, each as likely as the levels make it: of the lines that fall
 * until then and stand from there on, the more the better they fit.
 *
 * @param samples    volumes in m³ against seconds since the start of the run
 * @param run_s      as the contact tells
 * @param within_s   so long before its end, at the most, the pump stopped
 * @param sampleSd_m3 of a volume; null if unknown
 * @returns seconds since the start; `run_s` where nothing tells
 */
export function fallEnds_s(
  { t, y, count }: CurveSamples,
  run_s: number,
  within_s: number,
  sampleSd_m3: number | null,
): number {
  let from = count;
  while (from > 0 && (run_s - (t[from - 1] as number) <= lineOf * within_s || count - from < fewest)) from -= 1;
  const n = count - from;
  const span_s = n < fewest ? 0 : (t[count - 1] as number) - (t[from] as number);
  if (!(span_s > 0)) return run_s;
  const step_s = within_s / Math.ceil((parts * within_s * (n - 1)) / span_s);
  const squares: number[] = [];
  for (let end_s = run_s; end_s > run_s - within_s - step_s / 2; end_s -= step_s) {
    squares.push(offFallUntil_m6(t, y, from, count, end_s));
  }
  const least_m6 = Math.min(...squares);
  const variance_m6 = Math.max((sampleSd_m3 ?? 0) ** 2, least_m6 / (n - 3));
  if (!(variance_m6 > 0)) return run_s;
  let weights = 0;
  let sum_s = 0;
  squares.forEach((off_m6, i) => {
    const weight = Math.exp((least_m6 - off_m6) / (2 * variance_m6));
    weights += weight;
    sum_s += weight * i * step_s;
  });
  return run_s - sum_s / weights;
}

/** Sum of squares off the best line that falls until then and stands from there on; off the mean where none falls. */
function offFallUntil_m6(t: Float64Array, y: Float64Array, from: number, count: number, end_s: number): number {
  const n = count - from;
  let uSum = 0;
  let ySum = 0;
  for (let i = from; i < count; i += 1) {
    uSum += Math.min(t[i] as number, end_s);
    ySum += y[i] as number;
  }
  let uu = 0;
  let uy = 0;
  let yy = 0;
  for (let i = from; i < count; i += 1) {
    const u = Math.min(t[i] as number, end_s) - uSum / n;
    const off = (y[i] as number) - ySum / n;
    uu += u * u;
    uy += u * off;
    yy += off * off;
  }
  return uy < 0 ? yy - (uy * uy) / uu : yy;
}
