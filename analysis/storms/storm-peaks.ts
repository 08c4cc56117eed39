// The highest means of inflow over a minute, ten minutes and an hour within a time, from the stretches themselves.

import type { InflowStretch } from "../analyzer.ts";
import { addStretch, breakPeaks, newPeaks, type Peak } from "../inflow/rolling-peaks.ts";
import type { Storm } from "./storm.ts";

/** No window reaches across a gap; errors of stretches so near each other are taken as equal. */
export function peaksBetween(inflow: readonly InflowStretch[], from_s: number, to_s: number): Storm["peaks"] {
  const state = newPeaks();
  let last_s: number | null = null;
  for (let i = firstAfter(inflow, from_s); i < inflow.length; i += 1) {
    const stretch = inflow[i] as InflowStretch;
    if (stretch.from_s >= to_s) break;
    if (last_s !== null && stretch.from_s - last_s > 1) breakPeaks(state);
    addStretch(state, stretch.from_s, stretch.to_s, stretch.inflow_m3s, stretch.uInflow_m3s, 0);
    last_s = stretch.to_s;
  }
  const [minute, tenMinutes, hour] = state.peaks as [Peak | null, Peak | null, Peak | null];
  return { 60: minute, 600: tenMinutes, 3600: hour };
}

function firstAfter(inflow: readonly InflowStretch[], time_s: number): number {
  let [low, high] = [0, inflow.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((inflow[middle] as InflowStretch).to_s <= time_s) low = middle + 1;
    else high = middle;
  }
  return low;
}
