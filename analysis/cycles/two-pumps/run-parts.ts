// The parts of a run in which the set of pumps that run changes: each part's rate and what came in meanwhile. A change of
// the set bends the course of the level, so no one line is fitted across it.

import type { CapabilityState } from "../../pump-flow/capability-state.ts";
import { capabilityAt } from "../../pump-flow/pump-capability.ts";
import { agreed } from "../../pump-flow/run-rate.ts";
import type { FlowEstimate } from "../cycle.ts";
import type { EndedRun, RestSummary } from "../ended-run.ts";
import { minus, plus } from "../flow-arithmetic.ts";
import { curveSamples, type SamplesState } from "../samples.ts";
import type { PumpSet } from "./pump-sets.ts";

/** A stretch of a run with the same pumps running all along. */
export interface RunPart {
  readonly set: PumpSet;
  readonly ended: EndedRun;
}

export interface RunPartsState {
  /** The pumps that run, and since when; 0 while that is not known. */
  set: PumpSet;
  from_s: number;
  /** When the last pump stopped, should another one start before that counts as a stop; NaN otherwise. */
  pausedAt_s: number;
  /** Parts that are over, oldest first, and the one before them. */
  readonly waiting: RunPart[];
  passed: RunPart | null;
  /** What came in during the latest part for which it is known. */
  inflow: FlowEstimate | null;
  /** The longest part whose rate is known. */
  longest_s: number;
  rate: FlowEstimate | null;
  rateOf: PumpSet;
  /** Water moved by the parts passed; NaN when it is unknown of one. */
  moved_m3: number;
}

export function newRunParts(set: PumpSet, from_s: number): RunPartsState {
  return {
    set,
    from_s,
    pausedAt_s: Number.NaN,
    waiting: [],
    passed: null,
    inflow: null,
    longest_s: 0,
    rate: null,
    rateOf: 0,
    moved_m3: 0,
  };
}

/** More than one set of pumps ran. */
export function isMixed({ waiting, passed }: RunPartsState): boolean {
  return waiting.length > 0 || passed !== null;
}

/** What stands beside a part: other parts, and the rests at the ends of its run. */
export interface PartBeside {
  readonly before: RestSummary | null;
  readonly previous: RunPart | null;
  readonly next: RunPart | null;
  readonly after: RestSummary | null;
}

export type CapabilityOf = (set: PumpSet) => CapabilityState;

/**
 * What the pumps of one part of a long run moved together: the fall of the volume and what came in, which is known from
 * the rest at that end of the run. Between two parts the inflow goes on as it was: what both pumps move is known beside a
 * part in which one of them ran alone, whose rate is known from other runs.
 */
export function rateOfPart(part: RunPart, beside: PartBeside, capabilityOf: CapabilityOf): FlowEstimate | null {
  const { early, late } = part.ended;
  const { previous, next } = beside;
  const first = beside.before?.last?.inflow ?? null;
  const last = beside.after?.first?.inflow ?? null;
  const cameIn = previous === null ? first : inflowAtEnd(part, previous, "late", capabilityOf);
  const comesIn = next === null ? last : inflowAtEnd(part, next, "early", capabilityOf);
  const rate = agreed(plus(early, cameIn), plus(late, comesIn));
  const byOneRest = (previous === null && comesIn === null) || (next === null && cameIn === null);
  // A storm may have broken within the run: the rest at one end of it says nothing of that, the other one does.
  return byOneRest && agreed(plus(early, first), plus(early, last)) === null ? null : rate;
}

/** What came in while a pump that is known ran alone, at the end of its part that joins on. */
function inflowAtEnd(
  { set }: RunPart,
  other: RunPart | null,
  end: "early" | "late",
  capabilityOf: CapabilityOf,
): FlowEstimate | null {
  if (set !== 3 || other === null || other.set === 0 || other.set === 3) return null;
  const { cycle, meanLevel_m } = other.ended;
  const level_m = (end === "late" ? cycle.stopLevel_m : cycle.startLevel_m) ?? meanLevel_m;
  return minus(capabilityAt(capabilityOf(other.set), level_m), other.ended[end]);
}

/** What came in during a part, by what its pumps are known to move. */
export function inflowOfPart({ set, ended }: RunPart, capabilityOf: CapabilityOf): FlowEstimate[] | null {
  if (set === 0) return null;
  const capability = capabilityOf(set);
  if (ended.parts.length === 0) {
    const one = minus(capabilityAt(capability, ended.meanLevel_m), ended.whole);
    return one === null ? null : [one];
  }
  const flows = ended.parts.map(({ fall, level_m }) => minus(capabilityAt(capability, level_m), fall));
  const known = flows.filter((flow) => flow !== null);
  return known.length === flows.length ? known : null;
}

/**
 * Ends a part: `use` finds the samples up to `to_s`; those from `next_s` on are the next part's.
 */
export function splitSamples<Result>(
  samples: SamplesState,
  to_s: number,
  next_s: number,
  use: (samples: SamplesState) => Result,
): Result {
  curveSamples(samples);
  const { t, y, weight, count, origin_s } = samples;
  let end = 0;
  while (end < count && origin_s + (t[end] ?? 0) < to_s) end += 1;
  samples.count = end;
  samples.singleAtEnd = Math.max(0, samples.singleAtEnd - (count - end));
  const result = use(samples);
  let kept = 0;
  for (let i = end; i < count; i += 1) {
    const after_s = origin_s + (t[i] ?? 0) - next_s;
    if (after_s < 0) continue;
    t[kept] = after_s;
    y[kept] = y[i] ?? 0;
    weight[kept] = weight[i] ?? 0;
    kept += 1;
  }
  samples.count = kept;
  samples.origin_s = next_s;
  samples.blockSize = 1;
  samples.singleAtEnd = 0;
  samples.taken = kept;
  return result;
}
