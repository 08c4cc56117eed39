// What a pump's latest runs say together of the flow that it moves.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { medianInPlace } from "../statistics/median.ts";
import { workplace } from "../statistics/workplace.ts";
import { rememberedRuns } from "./capability-state.ts";

/** A rate that lies so many standard deviations off counts less. */
const oddFrom = 3;
/** Of a run's own uncertainty this share is alike in all of them: how their readings fall, how their ends are taken. */
const common = 0.3;

/** Mean by weight, in which a rate far off counts less; its uncertainty from theirs or, if that is more, their scatter. */
export function meanOfRuns(rates: readonly number[], us: readonly number[]): FlowEstimate {
  const n = rates.length;
  const least = medianInPlace(us) / 3;
  const u = uIn(n);
  for (let i = 0; i < n; i += 1) {
    const own = us[i] as number;
    u[i] = Math.sqrt(own * own + least * least);
  }
  const middle = weightedMedian(rates, u);
  const off = offIn(n);
  for (let i = 0; i < n; i += 1) off[i] = Math.abs((rates[i] as number) - middle) / (u[i] as number);
  const grown = Math.max(1, 1.4826 * medianInPlace(off, n));
  let weights = 0;
  let sum = 0;
  for (let i = 0; i < n; i += 1) {
    const scale = grown * (u[i] as number);
    const over = (rates[i] as number) - middle;
    const weight = Math.min(1, ((oddFrom * scale) / Math.abs(over)) ** 2) / scale ** 2;
    weights += weight;
    sum += weight * over;
  }
  return { flow_m3s: middle + sum / weights, uFlow_m3s: 1 / Math.sqrt(weights), degreesOfFreedom: n - 1 };
}

const uIn = workplace();
const offIn = workplace();

/** Median, with the standard uncertainty of a median of runs that scatter by their own and by one another's measure. */
export function medianOfRuns(rates_m3s: readonly number[], u_m3s: readonly number[]): FlowEstimate {
  const n = rates_m3s.length;
  const flow_m3s = medianInPlace(rates_m3s);
  const off_m3s = offIn(n);
  for (let i = 0; i < n; i += 1) off_m3s[i] = Math.abs((rates_m3s[i] as number) - flow_m3s);
  const spread_m3s = 1.4826 * medianInPlace(off_m3s, n);
  const u = medianInPlace(u_m3s);
  const random_m3s = (1.2533 * Math.max(spread_m3s, u)) / Math.sqrt(n);
  return {
    flow_m3s,
    uFlow_m3s: Math.hypot(random_m3s, common * u),
    degreesOfFreedom: n - 1,
  };
}

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

const places = new Int32Array(2 * rememberedRuns);

/** Where the values stand, the lowest first; good until it is asked for again. A few are put in order soonest so. */
function orderOf(values: readonly number[]): Int32Array {
  for (let k = 0; k < values.length; k += 1) {
    let to = k;
    for (; to > 0 && (values[places[to - 1] as number] as number) > (values[k] as number); to -= 1)
      places[to] = places[to - 1] as number;
    places[to] = k;
  }
  return places;
}
