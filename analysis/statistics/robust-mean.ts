// The mean of a few values of known uncertainty, of which some may be odd.

import { medianInPlace } from "./median.ts";
import { workplace } from "./workplace.ts";

/** What lies so many standard deviations off counts less. */
const oddFrom = 3;

/**
 * Mean by weight, 1/u², in which what lies far off the weighted median counts less; its uncertainty from theirs or, if that is
 * more, their scatter.
 *
 * @param us standard uncertainty of each
 */
export function robustMean(values: readonly number[], us: readonly number[]) {
  const n = values.length;
  const least = medianInPlace(us) / 3;
  const u = uIn(n);
  for (let i = 0; i < n; i += 1) {
    const own = us[i] as number;
    u[i] = Math.sqrt(own * own + least * least);
  }
  const middle = weightedMedian(values, u);
  const off = offIn(n);
  for (let i = 0; i < n; i += 1) off[i] = Math.abs((values[i] as number) - middle) / (u[i] as number);
  const grown = Math.max(1, 1.4826 * medianInPlace(off, n));
  let weights = 0;
  let sum = 0;
  for (let i = 0; i < n; i += 1) {
    const scale = grown * (u[i] as number);
    const over = (values[i] as number) - middle;
    const weight = Math.min(1, ((oddFrom * scale) / Math.abs(over)) ** 2) / scale ** 2;
    weights += weight;
    sum += weight * over;
  }
  return { mean: middle + sum / weights, uMean: 1 / Math.sqrt(weights) };
}

const uIn = workplace();
const offIn = workplace();

/** Half of the weight, 1/u², lies on either side. */
function weightedMedian(values: readonly number[], u: Float64Array): number {
  const order = orderOf(values);
  let left = 0;
  for (let k = 0; k < values.length; k += 1) left += 1 / (u[order[k] as number] as number) ** 2;
  left /= 2;
  for (let k = 0; k < values.length; k += 1) {
    const i = order[k] as number;
    left -= 1 / (u[i] as number) ** 2;
    if (left <= 0) return values[i] ?? Number.NaN;
  }
  return values[order[values.length - 1] ?? 0] ?? Number.NaN;
}

let places = new Int32Array(64);

/** Where the values stand, the lowest first; good until it is asked for again. A few are put in order soonest so. */
function orderOf(values: readonly number[]): Int32Array {
  if (places.length < values.length) places = new Int32Array(2 * values.length);
  for (let k = 0; k < values.length; k += 1) {
    let to = k;
    for (; to > 0 && (values[places[to - 1] as number] as number) > (values[k] as number); to -= 1)
      places[to] = places[to - 1] as number;
    places[to] = k;
  }
  return places;
}
