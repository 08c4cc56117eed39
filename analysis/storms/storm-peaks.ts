// The highest means of inflow over a minute, ten minutes and an hour within a time, from the stretches themselves: by the
// same rule as those of a whole recording.

import type { InflowStretch } from "../analyzer.ts";
import { addStretch, isLeastPeak, newPeaks, type Peak, type PeaksState } from "../inflow/over-time/rolling-peaks.ts";
import type { Storm } from "./storm.ts";

/** Stretches as they were stored may be as far apart by rounding, s. */
const inTouch_s = 1;

export function peaksOfRecord(inflow: readonly InflowStretch[]): Storm["peaks"] {
  const state = peaksBetween(inflow, Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY);
  return found(state, state.totalTime_s);
}

/** What comes in for most of a storm is not what always comes in: a time unseen in it may hide its top. */
export function peaksOfStorm(inflow: readonly InflowStretch[], from_s: number, to_s: number): Storm["peaks"] {
  return found(peaksBetween(inflow, from_s, to_s), Number.POSITIVE_INFINITY);
}

/**
 * Of the time between two stretches nothing is known: it counts as none, and the mean is then said to be the least. Errors
 * of stretches so near each other are taken as equal.
 */
function peaksBetween(inflow: readonly InflowStretch[], from_s: number, to_s: number): PeaksState {
  const state = newPeaks();
  let last_s: number | null = null;
  for (let i = firstAfter(inflow, from_s); i < inflow.length; i += 1) {
    const stretch = inflow[i] as InflowStretch;
    if (stretch.from_s >= to_s) break;
    const start_s = last_s !== null && stretch.from_s - last_s <= inTouch_s ? last_s : stretch.from_s;
    // What is off in all alike is in it, and cannot be told apart any more.
    addStretch(state, start_s, stretch.to_s, stretch.inflow_m3s, 0, 0, { uNotNoise_m3s: stretch.uInflow_m3s });
    last_s = stretch.to_s;
  }
  return state;
}

function found(state: PeaksState, known_s: number): Storm["peaks"] {
  const peak = (w: number): Peak | null => {
    const one = state.peaks[w] ?? null;
    return one !== null && isLeastPeak(state, w, known_s) ? { ...one, isLeast: true } : one;
  };
  return { 60: peak(0), 600: peak(1), 3600: peak(2) };
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
