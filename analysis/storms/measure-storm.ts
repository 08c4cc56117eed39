// One storm measured: volume, recession, peaks and rain of a rise whose base is known.

import { fitRecession, type Recession } from "./recession.ts";
import { highest, type Rise } from "./rises.ts";
import { type Storm, surePeak } from "./storm.ts";
import { peaksOfStorm } from "./storm-peaks.ts";
import { noRain, rainOfStorm } from "./storm-rain.ts";
import { type Search, timeOf_s } from "./storm-search.ts";

const fallsFrom = 0.75;
const fallsTo = 0.08;
/** Machines and hoses stop at once: what falls so fast, and lasted no longer, is no storm unless it rained. */
const stopsAtOnce_s = 900;
const soonOver_s = 5400;

export interface Beneath {
  readonly beneath: Float64Array;
  readonly calm_m3s: number;
  readonly notBefore_s: number;
}

/** @returns null where the rise is no storm: it was dry, or it is over as soon as a machine stops */
export function measureStorm(search: Search, rise: Rise, { beneath, calm_m3s, notBefore_s }: Beneath): Storm | null {
  const { grid, smooth, noise_m3s, inflow, rain } = search;
  const [from_s, to_s] = [timeOf_s(search, rise.onset), timeOf_s(search, rise.end)];
  const above = beneath.map((base, i) => Math.max(0, (smooth[rise.onset + i] as number) - base));
  const height_m3s = above[rise.top - rise.onset] ?? 0;
  if (!(height_m3s > 0)) return null;
  const recession = recessionOf(search, rise, above, height_m3s);
  const peaks = peaksOfStorm(inflow, from_s, to_s);
  const storm = { ...volumeOf(search, rise, above, recession), ended: rise.ended, from_s, to_s };
  const course = { above, step_s: grid.step_s, peak: peaks[600], notBefore_s };
  const rainOf = rain === null ? null : rainOfStorm(rain, storm, course);
  if (rainOf === noRain || (rainOf === null && stopsAtOnce(above, grid.step_s))) return null;
  const base_m3s = beneath[0] as number;
  const course_m3s = height_m3s + (beneath[rise.top - rise.onset] as number);
  const top_m3s = surePeak({ peaks })?.inflow_m3s ?? Math.max(course_m3s, peaks[600]?.inflow_m3s ?? 0);
  return {
    ...storm,
    rise_s: timeOf_s(search, rise.top) + grid.step_s / 2 - from_s,
    peaks,
    base_m3s,
    calm_m3s,
    peakAboveBase_m3s: Math.max(noise_m3s, top_m3s - (beneath[rise.top - rise.onset] as number)),
    recession,
    rain: rainOf,
  };
}

function stopsAtOnce(above: Float64Array, step_s: number): boolean {
  const height = highest(above);
  const last = (share: number) => above.findLastIndex((flow) => flow > share * height);
  const wide_s = (last(0.5) - above.findIndex((flow) => flow > 0.5 * height) + 1) * step_s;
  return wide_s <= soonOver_s && (last(0.2) - last(0.8)) * step_s <= stopsAtOnce_s;
}

function volumeOf({ grid, recession: master }: Search, rise: Rise, above: Float64Array, own: Recession | null) {
  let [seen_m3, u_m3, unseen_s] = [0, 0, 0];
  above.forEach((flow, i) => {
    const u = grid.u[rise.onset + i] as number;
    seen_m3 += flow * grid.step_s;
    // One basin, one sensor: errors of a storm's steps are taken as equal.
    u_m3 += (Number.isNaN(u) ? 0.3 * flow : u) * grid.step_s;
    if (Number.isNaN(u)) unseen_s += grid.step_s;
  });
  const { constant_s = 0, uConstant_s = 0 } = own ?? master ?? {};
  const last_m3s = above[above.length - 1] ?? 0;
  const tail_m3 = last_m3s * constant_s;
  const volume_m3 = seen_m3 + tail_m3;
  const uVolume_m3 = Math.hypot(u_m3, last_m3s * uConstant_s, 0.02 * volume_m3);
  return { volume_m3, uVolume_m3, tailShare: tail_m3 / volume_m3, unseen_s };
}

/** From when it last stood at three quarters of its height to when noise or a twelfth of it is left. */
function recessionOf({ grid, noise_m3s }: Search, rise: Rise, above: Float64Array, height_m3s: number) {
  const begin = above.findLastIndex((flow) => flow > fallsFrom * height_m3s);
  const floor = Math.max(fallsTo * height_m3s, 3 * noise_m3s);
  const time_s: number[] = [];
  const flow_m3s: number[] = [];
  for (let i = begin + 1; i < above.length && (above[i] as number) > floor; i += 1) {
    if (Number.isNaN(grid.value[rise.onset + i] as number)) continue;
    time_s.push(i * grid.step_s);
    flow_m3s.push(above[i] as number);
  }
  // A tail that was cut off early says nothing of how it would have gone on.
  if (!((flow_m3s[flow_m3s.length - 1] ?? 1) < 0.6 * (flow_m3s[0] ?? 0))) return null;
  return fitRecession({
    time_s,
    flow_m3s,
    uFlow_m3s: Math.max(noise_m3s, 0.03 * height_m3s),
    uBase_m3s: Math.max(noise_m3s, 0.03 * height_m3s),
  });
}
