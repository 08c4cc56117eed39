// How fast inflow dies away after rain: the recession constant of the drained ground, of one storm and over all.

import { varianceInflation } from "../statistics/autocorrelation.ts";
import { fitCurve } from "../statistics/fit-curve.ts";

export interface Recession {
  /** T of Q(t) = Q₀·exp(−t/T): after so long a little over a third is left. */
  readonly constant_s: number;
  /** Standard uncertainty; neighbouring residuals are taken as alike as they are found to be. */
  readonly uConstant_s: number;
  /** Times that took part. */
  readonly points: number;
}

export interface FallingFlow {
  readonly time_s: readonly number[];
  /** Flow above the base, m³/s; what is not above 0 is left out. */
  readonly flow_m3s: readonly number[];
  /** Standard uncertainty of one flow, m³/s: that of ln Q is u/Q. */
  readonly uFlow_m3s: number;
  /** Of what was taken as base, m³/s: it shifts all of them alike. 0 for none. */
  readonly uBase_m3s: number;
}

/**
 * Fits a linear reservoir's recession by weighted least squares on ln Q.
 *
 * @returns null with fewer than 4 flows, or when they do not fall
 * @see Maillet (1905) for the form; JCGM 100:2008 5.1.2 for u(T) = u(slope)/slope²
 */
export function fitRecession(falling: FallingFlow): Recession | null {
  const middle = fitOnce(falling, 0);
  if (middle === null) return null;
  const { uBase_m3s } = falling;
  const shifts = uBase_m3s > 0 ? [fitOnce(falling, uBase_m3s), fitOnce(falling, -uBase_m3s)] : [];
  const byBase_s = shifts.map((other) => Math.abs((other?.constant_s ?? 2 * middle.constant_s) - middle.constant_s));
  return { ...middle, uConstant_s: Math.hypot(middle.uConstant_s, ...byBase_s.map((by) => by / Math.SQRT2)) };
}

/**
 * The master recession: the geometric mean of the storms' constants, each weighted by its own variance and by how much
 * they differ from storm to storm (DerSimonian and Laird 1986), so that neither one long clean recession nor a ragged one
 * decides alone.
 *
 * @returns null when there is none
 */
export function masterRecession(recessions: readonly Recession[]): Recession | null {
  if (recessions.length === 0) return null;
  const ln = recessions.map((one) => Math.log(one.constant_s));
  const variance = recessions.map((one) => Math.max(1e-6, (one.uConstant_s / one.constant_s) ** 2));
  const fixed = variance.map((v) => 1 / v);
  const mean = weightedMean(ln, fixed);
  const total = sum(fixed);
  const q = sum(ln.map((value, i) => (fixed[i] as number) * (value - mean) ** 2));
  const free = total - sum(fixed.map((w) => w * w)) / total;
  const between = free > 0 ? Math.max(0, (q - (ln.length - 1)) / free) : 0;
  const weights = variance.map((v) => 1 / (v + between));
  const constant_s = Math.exp(weightedMean(ln, weights));
  const uConstant_s = constant_s / Math.sqrt(sum(weights));
  return { constant_s, uConstant_s, points: sum(recessions.map((one) => one.points)) };
}

function fitOnce({ time_s, flow_m3s, uFlow_m3s }: FallingFlow, shift_m3s: number): Recession | null {
  const t = new Float64Array(time_s.length);
  const y = new Float64Array(time_s.length);
  const weight = new Float64Array(time_s.length);
  let count = 0;
  const first_s = time_s[0] ?? 0;
  flow_m3s.forEach((flow, i) => {
    const above = flow + shift_m3s;
    if (!(above > 0)) return;
    t[count] = (time_s[i] as number) - first_s;
    y[count] = Math.log(above);
    weight[count] = uFlow_m3s > 0 ? (above / uFlow_m3s) ** 2 : 1;
    count += 1;
  });
  const line = count < 4 ? undefined : fitCurve({ t, y, weight, count }, 1);
  if (line === undefined) return null;
  const { slope, variance } = line.meanSlope(0, t[count - 1] as number);
  if (!(slope < 0)) return null;
  const residuals = y.subarray(0, count).map((value, i) => value - line.valueAt(t[i] as number));
  const scale = Math.max(line.residualSquares / (count - 2), uFlow_m3s > 0 ? 1 : 0);
  const uSlope = Math.sqrt(variance * scale * varianceInflation(residuals));
  return { constant_s: -1 / slope, uConstant_s: uSlope / slope ** 2, points: count };
}

function weightedMean(values: readonly number[], weights: readonly number[]): number {
  return sum(values.map((value, i) => value * (weights[i] as number))) / sum(weights);
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
