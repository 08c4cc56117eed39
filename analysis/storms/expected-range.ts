// The range about a foretold peak that should hold the true one in 95 of 100 cases, from all that it is uncertain by.

import { normalQuantile } from "../statistics/normal-quantile.ts";
import { studentTQuantile } from "../statistics/student-t.ts";
import type { RainResponse } from "./fit-response.ts";

/** A figure that is expected, and the range that should hold the true one in 95 of 100 cases. */
export interface Expected {
  readonly inflow_m3s: number;
  readonly low_m3s: number;
  readonly high_m3s: number;
}

const z = normalQuantile(0.975);

export interface Ranged {
  readonly expected: Expected;
  /** Standard deviation of ln(inflow) by the figures alone, and variance by all parts. */
  readonly figures: number;
  readonly variance: number;
}

/**
 * @param beyond standard deviation of ln(inflow) for rain that goes beyond the seen one
 * @returns what gives the highest mean over `n` steps its range, of the most probable flow above base and of others drawn
 */
export function rangeOf({ stormToStorm, degreesOfFreedom, storms }: RainResponse, beyond: number) {
  const t = studentTQuantile(0.975, degreesOfFreedom + 2);
  return (
    flow: Float64Array,
    sampled: readonly Float64Array[],
    n: number,
    base: { readonly inflow_m3s: number; readonly uInflow_m3s: number },
  ): Ranged => {
    const middle = Math.log(highestMean(flow, n) || 1e-12);
    const others = sampled.map((one) => Math.log(highestMean(one, n) || 1e-12)).sort((a, b) => a - b);
    const mean = others.reduce((sum, value) => sum + value, 0) / others.length;
    const own = others.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (others.length - 1);
    const scatter = stormToStorm * Math.sqrt(1 + 1 / storms);
    // What the figures leave open is lopsided: either side by its own reach.
    const reach = (to: number) => Math.hypot(to, t * scatter, z * beyond);
    const [below, above] = [quantile(others, 0.025), quantile(others, 0.975)];
    const up = reach(Math.max(0, above - middle));
    const down = reach(Math.max(0, middle - below));
    const at = (ln: number) => Math.max(0, base.inflow_m3s + Math.exp(middle + ln));
    const uBase_m3s = z * base.uInflow_m3s;
    const expected = {
      inflow_m3s: at(0),
      low_m3s: Math.max(0, at(-down) - uBase_m3s),
      high_m3s: at(up) + uBase_m3s,
    };
    return { expected, figures: Math.sqrt(own), variance: own + scatter ** 2 + beyond ** 2 };
  };
}

function quantile(sorted: readonly number[], share: number): number {
  const at = share * (sorted.length - 1);
  const i = Math.floor(at);
  const low = sorted[i] as number;
  return low + (at - i) * ((sorted[i + 1] ?? low) - low);
}

/** Over `n` steps. */
export function highestMean(values: Float64Array, n: number): number {
  let [sum, most] = [0, 0];
  for (let i = 0; i < values.length; i += 1) {
    sum += values[i] as number;
    if (i >= n) sum -= values[i - n] as number;
    if (i >= n - 1) most = Math.max(most, sum / n);
  }
  return most;
}
