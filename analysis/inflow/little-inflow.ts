// Whether so little comes in that no storm is near.

import type { FlowEstimate } from "../cycles/cycle.ts";

/** So much less comes in than the pump moves that a storm would have to begin from one minute to the next. */
export function isLittle(inflow: FlowEstimate | null, pumpRate: FlowEstimate | null): boolean {
  return inflow !== null && pumpRate !== null && inflow.flow_m3s < 0.3 * pumpRate.flow_m3s;
}
