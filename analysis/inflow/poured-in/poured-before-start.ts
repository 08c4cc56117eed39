// Of water that is poured in at once and starts the pump, what came before the start is of the rest, which ends with it: no
// reading need have shown it rise.

import type { Cycle, FlowEstimate } from "../../cycles/cycle.ts";
import { joinParts } from "../../uncertainty/parts.ts";
import type { UsualStart } from "./poured-as-it-starts.ts";

/**
 * The cycle with it in the inflow of its rest. Where the float usually closes is known, it was what lifts the water to there;
 * else anything from none to all (uniform: GUM 4.3.7). What is unsure of it is where the float closed.
 *
 * @param endVolume_m3 of the rest, as the levels up to then go on to the start
 * @param inRun over equal parts of the run, what was poured in among it
 * @param usual null until it is seen
 */
export function withPouredBefore(
  cycle: Cycle,
  endVolume_m3: number | null,
  inRun: readonly FlowEstimate[],
  usual: UsualStart | null,
): Cycle {
  const { inflow, rest_s, run_s } = cycle;
  const last = inRun.at(-1);
  if (inflow === null || inflow.method !== "fill-slope" || rest_s === null || endVolume_m3 === null) return cycle;
  if (last === undefined) return cycle;
  const excess_m3s = inRun.reduce((sum, { flow_m3s }) => sum + flow_m3s, 0) / inRun.length - last.flow_m3s;
  const poured_m3 = Math.max(0, excess_m3s * run_s);
  const lifted_m3 = usual === null ? poured_m3 / 2 : Math.min(poured_m3, Math.max(0, usual.volume_m3 - endVolume_m3));
  const uLifted_m3 = usual === null ? poured_m3 / Math.sqrt(12) : usual.uVolume_m3;
  const uLifted_m3s = uLifted_m3 / rest_s;
  const parts = joinParts([inflow.parts, { "float-repeatability": uLifted_m3s }]);
  return {
    ...cycle,
    inflow: {
      ...inflow,
      flow_m3s: inflow.flow_m3s + lifted_m3 / rest_s,
      uFlow_m3s: Math.hypot(inflow.uFlow_m3s, uLifted_m3s),
      ...(parts !== undefined && { parts }),
    },
  };
}
