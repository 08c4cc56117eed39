// What the pumps move in the course of one run: as their runs have taught, or as this very run shows where they have not.

import type { CapabilityState } from "../../pump-flow/capability-state.ts";
import { capabilityAt } from "../../pump-flow/pump-capability.ts";
import type { FlowEstimate } from "../cycle.ts";
import type { PumpSet } from "./pump-sets.ts";
import type { CapabilityOf, RunPart } from "./run-parts.ts";

/** What a set of pumps moves with the water at a level, or at the level of its usual runs; null where nothing tells. */
export type FlowsInRun = (set: PumpSet, level_m: number | null) => FlowEstimate | null;

export interface RatedPart {
  readonly part: RunPart;
  readonly rate: FlowEstimate | null;
}

export function flowsInRun(rated: readonly RatedPart[], capabilityOf: CapabilityOf): FlowsInRun {
  return (set, level_m) =>
    set === 0 ? null : (capabilityAt(capabilityOf(set), level_m) ?? asInRun(rated, set, level_m, capabilityOf(1)));
}

/** By the part of the run that tells it best; the lift bends it as it bends what the first pump moves. */
function asInRun(
  rated: readonly RatedPart[],
  set: PumpSet,
  level_m: number | null,
  first: CapabilityState,
): FlowEstimate | null {
  let best: { rate: FlowEstimate; level_m: number | null } | null = null;
  for (const { part, rate } of rated) {
    if (part.set !== set || rate === null || !(rate.uFlow_m3s < (best?.rate.uFlow_m3s ?? Number.POSITIVE_INFINITY)))
      continue;
    best = { rate, level_m: part.ended.meanLevel_m };
  }
  if (best === null || level_m === null || best.level_m === null) return best?.rate ?? null;
  const there_m3s = capabilityAt(first, level_m)?.flow_m3s ?? 0;
  const then_m3s = capabilityAt(first, best.level_m)?.flow_m3s ?? 0;
  const share = there_m3s > 0 && then_m3s > 0 ? there_m3s / then_m3s : 1;
  const { flow_m3s, uFlow_m3s } = best.rate;
  return { ...best.rate, flow_m3s: share * flow_m3s, uFlow_m3s: Math.hypot(uFlow_m3s, ((share - 1) * flow_m3s) / 2) };
}
