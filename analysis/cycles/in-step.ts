// Cycles that keep step with the readings: each reading comes at almost the same place of another cycle, and what looks like
// a slow rest and a slow run is hundreds of them. No level tells these from a pump that hardly moves anything.

import type { FlowEstimate } from "./cycle.ts";
import { farApart_s, type TrackerContext } from "./tracker-context.ts";

/** The quickest cycle is that with half of what the pump moves coming in: twice over, twice the time that it empties in. */
const quickest = 4;
/** Of a pump that is known roughly: it may move a little more. */
const roughly = 0.8;
/** So many times that time a run takes with four fifths coming in; and then no rest takes longer than it does. */
const muchLonger = 5;
/** In fewer intervals it has shown no course. */
const fewest = 4;

/**
 * Whether a run and the rest before it may be many that keep step with the readings: whole cycles fit between two of those,
 * and neither is as short as the pump would make one of them. Of a rest that was not seen to begin the run alone tells.
 *
 * @param moves what the pump moves by its published curve; null where that is not known, or its runs have taught it
 */
export function mayBeInStep(
  { run_s, rest_s }: { readonly run_s: number; readonly rest_s: number | null },
  moves: FlowEstimate | null,
  { interval_s, basin, geometry }: TrackerContext,
): boolean {
  const { startLevel_m, stopLevel_m } = basin;
  if (moves === null || startLevel_m === null || stopLevel_m === null) return false;
  if (interval_s < farApart_s || run_s < fewest * interval_s) return false;
  const empties_s = (geometry.volume_m3(startLevel_m) - geometry.volume_m3(stopLevel_m)) / moves.flow_m3s;
  return interval_s > roughly * quickest * empties_s && Math.min(run_s, rest_s ?? run_s) > muchLonger * empties_s;
}
