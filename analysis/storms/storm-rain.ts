// The rain that belongs to a storm: how much, when its middle was, how long the ground took.

import type { Peak } from "../inflow/over-time/rolling-peaks.ts";
import type { RainStretch } from "./rain.ts";
import { highest } from "./rises.ts";
import type { StormRain } from "./storm.ts";

/** The rain is known and there was none: the rise is no storm's. */
export const noRain = "no-rain";

interface StormFlow {
  /** Above base, by even steps from the storm's beginning. */
  readonly above: Float64Array;
  readonly step_s: number;
  readonly peak: Peak | null;
  /** What fell before belongs to the storm before, −Infinity without one. */
  readonly notBefore_s: number;
}

/** Rain may have begun so long before inflow rose; and a dry spell of so long parts one rain from the next. */
const before_s = 12 * 3600;
const apart_s = 6 * 3600;
const least_m = 5e-4;

/**
 * Rain from the beginning of the wet spell in which the inflow began to rise to the storm's end.
 *
 * @returns null when less than nine tenths of that time is known; `noRain` when it was dry (less than half a millimetre)
 */
export function rainOfStorm(
  rain: readonly RainStretch[],
  storm: { readonly from_s: number; readonly to_s: number; readonly volume_m3: number },
  { above, step_s, peak, notBefore_s }: StormFlow,
): StormRain | null | typeof noRain {
  const middleOfFlow_s = storm.from_s + centre(above, step_s);
  const top_s = storm.from_s + (above.indexOf(highest(above)) + 1) * step_s;
  // What falls on the last of the recession cannot have made the storm.
  const to_s = Math.max(top_s, Math.min(storm.to_s, 2 * middleOfFlow_s - storm.from_s));
  const near = rain.filter((stretch) => stretch.to_s > storm.from_s - before_s && stretch.from_s < to_s);
  const within = (one: RainStretch) => Math.min(one.to_s, to_s) - Math.max(one.from_s, storm.from_s);
  const known_s = near.reduce((sum, one) => sum + Math.max(0, within(one)), 0);
  if (known_s < 0.9 * (to_s - storm.from_s)) return null;
  const from_s = Math.max(notBefore_s, wetFrom_s(near, storm.from_s));
  const parts = near.map((one) => cut(one, from_s, to_s)).filter(({ rain_m }) => rain_m > 0);
  const depth_m = parts.reduce((sum, { rain_m }) => sum + rain_m, 0);
  const [first, last] = [parts[0], parts[parts.length - 1]];
  if (first === undefined || last === undefined || depth_m < least_m) return noRain;
  const centroid_s = parts.reduce((sum, part) => sum + (part.rain_m * (part.from_s + part.to_s)) / 2, 0) / depth_m;
  return {
    from_s: first.from_s,
    to_s: last.to_s,
    depth_m,
    wettestHour_m: wettest_m(parts, 3600),
    centroid_s,
    lagOfCentroid_s: middleOfFlow_s - centroid_s,
    lagOfPeak_s: peak === null ? null : peak.at_s - centroid_s,
    catchment_m2: storm.volume_m3 / depth_m,
  };
}

/** Greatest depth in so long a time, stretches spread evenly; 0 without rain. */
export function wettest_m(rain: readonly RainStretch[], window_s: number): number {
  const wet = rain.filter(({ rain_m }) => rain_m > 0);
  let most_m = 0;
  let first = 0;
  for (let last = 0; last < wet.length; last += 1) {
    const end_s = (wet[last] as RainStretch).to_s;
    while ((wet[first] as RainStretch).to_s <= end_s - window_s) first += 1;
    let sum_m = 0;
    for (let i = first; i <= last; i += 1) sum_m += cut(wet[i] as RainStretch, end_s - window_s, end_s).rain_m;
    most_m = Math.max(most_m, sum_m);
  }
  return most_m;
}

/** The beginning of the wet spell that reaches the storm's beginning, no earlier than half a day before. */
function wetFrom_s(near: readonly RainStretch[], onset_s: number): number {
  let from_s = onset_s;
  for (const { from_s: start_s, to_s, rain_m } of [...near].reverse()) {
    if (rain_m <= 0 || start_s >= onset_s) continue;
    if (from_s - to_s > apart_s) break;
    from_s = Math.max(start_s, onset_s - before_s);
  }
  return from_s;
}

function cut({ from_s, to_s, rain_m }: RainStretch, first_s: number, last_s: number): RainStretch {
  const [start_s, end_s] = [Math.max(from_s, first_s), Math.min(to_s, last_s)];
  const share = Math.max(0, end_s - start_s) / (to_s - from_s);
  return { from_s: start_s, to_s: end_s, rain_m: rain_m * share };
}

function centre(values: Float64Array, step_s: number): number {
  let [sum, moment] = [0, 0];
  values.forEach((value, i) => {
    sum += value;
    moment += value * (i + 0.5);
  });
  return sum > 0 ? (moment / sum) * step_s : 0;
}
