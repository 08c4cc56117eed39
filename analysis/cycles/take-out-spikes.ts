// Takes rows of spikes out of a rest or run that has ended, with what is known of the levels on either side of it.

import { takeOutSpikeRows } from "../inflow/sensor-errors/spike-rows.ts";
import { capabilityAt } from "../pump-flow/pump-capability.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import { curveSamples } from "./samples.ts";
import type { TrackerContext } from "./tracker-context.ts";
import { learnedBy, type TrackerState } from "./tracker-state.ts";

/**
 * @param before_m3 stored volume just before, by what the phase before has shown; null: not known
 * @param next_m    levels read since the end, as far as they are known already
 */
export function takeOutSpikes(
  state: TrackerState,
  context: TrackerContext,
  before_m3: number | null,
  next_m: readonly number[],
): void {
  const { geometry, interval_s, longInterval_s, resolution_m, basin } = context;
  // A run that went by unseen leaps there and back as well.
  if (longInterval_s > closelyRead_s) return;
  const { set } = state.phase === "run" ? state.inRun : state.endedParts;
  const moves = capabilityAt(learnedBy(state, set).capability, null) ?? state.ended?.cycle.pumpRate ?? null;
  const step_m3 = Number.isFinite(resolution_m) ? resolution_m * geometry.area_m2(basin.stopLevel_m ?? 0) : 0;
  const beside = {
    before_m3,
    after_m3: next_m.map((level_m) => geometry.volume_m3(level_m)),
    sampleSd_m3: state.memory.sampleSd_m3 > 0 ? state.memory.sampleSd_m3 : null,
    pumped_m3: (moves?.flow_m3s ?? Number.POSITIVE_INFINITY) * interval_s,
  };
  takeOutSpikeRows(curveSamples(state.samples), beside, step_m3);
}
