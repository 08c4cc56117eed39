// The recorded inflow without holes: what is missing is either left out of the replay or bridged, and said either way.

import type { InflowStretch } from "../analyzer.ts";

export type GapChoice = "leave-out" | "bridge";

export interface JoinedInflow {
  readonly stretches: readonly InflowStretch[];
  readonly gaps: number;
  readonly missing_s: number;
  readonly choice: GapChoice;
}

/** Times are told to so much; what is shorter is no gap. */
const instant_s = 0.01;
const step_s = 300;

/**
 * @param inflow stretches in order of time
 * @param choice `leave-out`: the replay holds its breath over a gap, and the water stands as it stood; `bridge`: straight
 *   from the inflow before the gap to that after it, no better known than the two differ
 */
export function joinInflow(inflow: readonly InflowStretch[], choice: GapChoice = "leave-out"): JoinedInflow {
  const stretches: InflowStretch[] = [];
  let gaps = 0;
  let missing_s = 0;
  let before: InflowStretch | undefined;
  for (const stretch of inflow) {
    if (!(stretch.to_s > stretch.from_s)) continue;
    const gap_s = before === undefined ? 0 : stretch.from_s - before.to_s;
    if (before !== undefined && gap_s > instant_s) {
      gaps += 1;
      missing_s += gap_s;
      if (choice === "bridge") stretches.push(...bridge(before, stretch));
    }
    stretches.push(stretch);
    before = stretch;
  }
  return { stretches, gaps, missing_s, choice };
}

function bridge(before: InflowStretch, after: InflowStretch): InflowStretch[] {
  const gap_s = after.from_s - before.to_s;
  const pieces = Math.max(1, Math.ceil(gap_s / step_s));
  const rise_m3s = after.inflow_m3s - before.inflow_m3s;
  const uInflow_m3s = Math.hypot(rise_m3s, before.uInflow_m3s, after.uInflow_m3s);
  return Array.from({ length: pieces }, (_, i) => ({
    from_s: before.to_s + (gap_s * i) / pieces,
    to_s: i === pieces - 1 ? after.from_s : before.to_s + (gap_s * (i + 1)) / pieces,
    inflow_m3s: before.inflow_m3s + (rise_m3s * (i + 0.5)) / pieces,
    uInflow_m3s,
  }));
}
