// Whether so little comes in that no storm is near.

import type { Cycle, FlowEstimate } from "../../cycles/cycle.ts";
import type { BasinGeometry } from "../../geometry/basin.ts";
import { medianInPlace } from "../../statistics/median.ts";

/** So much less comes in than the pump moves that a storm would have to begin from one minute to the next. */
export function isLittle(inflow: Pick<FlowEstimate, "flow_m3s"> | null, moves_m3s: number | null): boolean {
  return inflow !== null && moves_m3s !== null && inflow.flow_m3s < 0.3 * moves_m3s;
}

const fewest = 4;

/**
 * What a pump moves at the least whose runs readings are too far apart to time: what lay between start and stop, over a run
 * that may have been longer than it looks by the time between two readings at either end; null before a few runs.
 */
export function movesAtLeast_m3s(
  cycles: readonly Cycle[],
  { volume_m3 }: BasinGeometry,
  readEvery_s: number,
): number | null {
  const rates_m3s = cycles.flatMap(({ startLevel_m, stopLevel_m, run_s }) =>
    startLevel_m === null || stopLevel_m === null
      ? []
      : (volume_m3(startLevel_m) - volume_m3(stopLevel_m)) / (run_s + 2 * readEvery_s),
  );
  return rates_m3s.length < fewest ? null : medianInPlace(Float64Array.from(rates_m3s));
}
