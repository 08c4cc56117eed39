// Where the float closed and opened, as the level around a run shows it: the ends of the rests beside it, which the
// sampling blurs far less than the run itself, freed of what rose until the switch was seen.

import type { Trips } from "../readings/trip-levels.ts";
import type { FlowEstimate } from "./cycle.ts";
import type { EndedRun, RestSummary } from "./ended-run.ts";
import { edgeDelay_s, type TrackerContext, uEdges_s } from "./tracker-context.ts";

/**
 * @param returned_m3 what ran back after the stop; null where nothing shows
 * @returns null when either rest does not show its end at the run
 */
export function tripsOfRun(
  { cycle, before }: EndedRun,
  after: RestSummary | null,
  pumpRate: FlowEstimate | null,
  returned_m3: number | null,
  context: TrackerContext,
): Trips | null {
  if (before?.endVolume_m3 == null || after?.startVolume_m3 == null) return null;
  const { geometry } = context;
  const delay_s = edgeDelay_s(context);
  const risesBefore_m3s = before.last?.inflow.flow_m3s ?? 0;
  const risesAfter_m3s = after.first?.inflow.flow_m3s ?? 0;
  const start_m = geometry.level_m(before.endVolume_m3 - risesBefore_m3s * delay_s);
  const settled_m3 = after.startVolume_m3 - risesAfter_m3s * delay_s;
  const stop_m = geometry.level_m(settled_m3 - (returned_m3 ?? 0));
  const fastest_m3s = Math.max(Math.abs(risesBefore_m3s), Math.abs(risesAfter_m3s));
  return {
    time_s: cycle.stoppedAt_s,
    start_m,
    stop_m,
    // Of an edge anywhere within one interval; the two edges of a length have √2 times that.
    uSampling_m: (fastest_m3s * uEdges_s(context)) / Math.SQRT2 / geometry.area_m2(stop_m),
    pumpRate_m3s: pumpRate?.flow_m3s ?? null,
    returned_m: returned_m3 === null ? null : geometry.level_m(settled_m3) - stop_m,
  };
}
