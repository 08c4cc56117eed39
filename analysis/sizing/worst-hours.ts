// The hours of a record in which most came in: what a battery has to get the house through.

import type { InflowStretch } from "../analyzer.ts";

export interface WorstHours {
  readonly from_s: number;
  readonly inflow_m3s: number;
  /** Of its stretches, their errors taken as alike. */
  readonly uInflow_m3s: number;
}

/**
 * The window of so many seconds within the record that has the highest mean inflow. Time without a stretch counts at the
 * mean of the rest of its window; at least half of that must be covered, of a record shorter than the window too.
 *
 * @param inflow in order of time
 * @returns null where no window is covered so far
 */
export function worstHours(inflow: readonly InflowStretch[], window_s: number): WorstHours | null {
  const [first, last] = [inflow[0], inflow.at(-1)];
  if (first === undefined || last === undefined) return null;
  const sums = running(inflow);
  const latest_s = Math.max(first.from_s, last.to_s - window_s);
  let worst: WorstHours | null = null;
  // The mean turns only where an end of the window passes an end of a stretch.
  for (const { from_s, to_s } of inflow) {
    for (const start_s of [from_s, to_s - window_s]) {
      const begin_s = Math.min(latest_s, Math.max(first.from_s, start_s));
      const [low, high] = [sums(begin_s), sums(begin_s + window_s)];
      const covered_s = high.covered_s - low.covered_s;
      if (!(covered_s >= window_s / 2)) continue;
      const inflow_m3s = (high.volume_m3 - low.volume_m3) / covered_s;
      const uInflow_m3s = (high.u_m3 - low.u_m3) / covered_s;
      if (worst === null || inflow_m3s > worst.inflow_m3s) worst = { from_s: begin_s, inflow_m3s, uInflow_m3s };
    }
  }
  return worst;
}

interface Sums {
  readonly covered_s: number;
  readonly volume_m3: number;
  readonly u_m3: number;
}

/** What came in and was covered up to a time. */
function running(inflow: readonly InflowStretch[]): (time_s: number) => Sums {
  const before: Sums[] = [{ covered_s: 0, volume_m3: 0, u_m3: 0 }];
  for (const [i, stretch] of inflow.entries()) before.push(plus(before[i] ?? nothing, stretch, stretch.to_s));
  return (time_s) => {
    let [low, high] = [0, inflow.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((inflow[middle]?.from_s ?? Number.POSITIVE_INFINITY) < time_s) low = middle + 1;
      else high = middle;
    }
    const stretch = inflow[low - 1];
    return stretch === undefined ? nothing : plus(before[low - 1] ?? nothing, stretch, Math.min(time_s, stretch.to_s));
  };
}

const nothing: Sums = { covered_s: 0, volume_m3: 0, u_m3: 0 };

function plus(sums: Sums, { from_s, inflow_m3s, uInflow_m3s }: InflowStretch, to_s: number): Sums {
  const lasts_s = to_s - from_s;
  return {
    covered_s: sums.covered_s + lasts_s,
    volume_m3: sums.volume_m3 + inflow_m3s * lasts_s,
    u_m3: sums.u_m3 + uInflow_m3s * lasts_s,
  };
}
