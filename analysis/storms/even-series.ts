// Stretches of any length laid on an even grid of time, gaps as NaN: what separation and fits work on.

import type { InflowStretch } from "../analyzer.ts";
import type { RainStretch } from "./rain.ts";

/** Values of even steps; step i reaches from `from_s + i·step_s` to one step later. */
export interface EvenSeries {
  readonly from_s: number;
  readonly step_s: number;
  /** NaN where less than half of the step is known. */
  readonly value: Float64Array;
}

/**
 * Mean inflow of each step, m³/s, and its standard uncertainty. Errors within a step are taken as equal.
 *
 * @param inflow in order of time; stretches that overlap count by what each covers
 */
export function evenInflow(
  inflow: readonly InflowStretch[],
  step_s: number,
): EvenSeries & { readonly u: Float64Array } {
  const from_s = Math.floor((inflow[0]?.from_s ?? 0) / step_s) * step_s;
  const to_s = inflow.reduce((latest, stretch) => Math.max(latest, stretch.to_s), from_s);
  const count = Math.ceil((to_s - from_s) / step_s);
  const value = new Float64Array(count);
  const u = new Float64Array(count);
  const known = new Float64Array(count);
  for (const stretch of inflow) {
    eachStep(stretch, from_s, step_s, count, (i, part_s) => {
      value[i] = (value[i] as number) + stretch.inflow_m3s * part_s;
      u[i] = (u[i] as number) + stretch.uInflow_m3s * part_s;
      known[i] = (known[i] as number) + part_s;
    });
  }
  for (let i = 0; i < count; i += 1) {
    const length_s = known[i] as number;
    const enough = length_s >= step_s / 2;
    value[i] = enough ? (value[i] as number) / length_s : Number.NaN;
    u[i] = enough ? (u[i] as number) / length_s : Number.NaN;
  }
  return { from_s, step_s, value, u };
}

/** Rate of rain of each step, m/s, over the grid asked for; NaN where the rain is unknown. */
export function evenRain(rain: readonly RainStretch[], from_s: number, step_s: number, count: number): EvenSeries {
  const value = new Float64Array(count);
  const known = new Float64Array(count);
  for (const stretch of rain) {
    const rate = stretch.rain_m / (stretch.to_s - stretch.from_s);
    eachStep(stretch, from_s, step_s, count, (i, part_s) => {
      value[i] = (value[i] as number) + (rate * part_s) / step_s;
      known[i] = (known[i] as number) + part_s;
    });
  }
  for (let i = 0; i < count; i += 1) if ((known[i] as number) < step_s / 2) value[i] = Number.NaN;
  return { from_s, step_s, value };
}

function eachStep(
  { from_s, to_s }: { readonly from_s: number; readonly to_s: number },
  first_s: number,
  step_s: number,
  count: number,
  take: (i: number, part_s: number) => void,
): void {
  const first = Math.max(0, Math.floor((from_s - first_s) / step_s));
  const last = Math.min(count - 1, Math.ceil((to_s - first_s) / step_s) - 1);
  for (let i = first; i <= last; i += 1) {
    const start_s = first_s + i * step_s;
    const part_s = Math.min(to_s, start_s + step_s) - Math.max(from_s, start_s);
    if (part_s > 0) take(i, part_s);
  }
}
