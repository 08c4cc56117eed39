// The parts of a run in which the set of pumps that run changes: each part's rate and what came in meanwhile. A change of
// the set bends the course of the level, so no one line is fitted across it.

import type { CapabilityState } from "../../pump-flow/capability-state.ts";
import { capabilityAt } from "../../pump-flow/pump-capability.ts";
import { agreed } from "../../pump-flow/run-rate.ts";
import type { FlowEstimate } from "../cycle.ts";
import type { EndedRun, RestSummary } from "../ended-run.ts";
import { between as meanBetween, meanOf, minus, plus } from "../flow-arithmetic.ts";
import { edge_s, longRun_s } from "../run-lengths.ts";
import { curveSamples, type SamplesState } from "../samples.ts";
import type { FlowsInRun } from "./flows-in-run.ts";
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
  return minus(capabilityAt(capabilityOf(other.set), levelAtEnd_m(other.ended, end)), other.ended[end]);
}

/** On the mean over the time in which the fall at that end was measured. */
function levelAtEnd_m({ cycle, parts, meanLevel_m }: EndedRun, end: "early" | "late"): number | null {
  const { startLevel_m, stopLevel_m, run_s } = cycle;
  if (parts.length > 0) {
    const count = Math.max(1, Math.round((edge_s * parts.length) / run_s));
    const there = end === "early" ? parts.slice(0, count) : parts.slice(-count);
    return there.reduce((sum, { level_m }) => sum + level_m, 0) / there.length;
  }
  if (startLevel_m === null || stopLevel_m === null) return meanLevel_m;
  const share = Math.min(edge_s, run_s) / 2 / run_s;
  return startLevel_m + (stopLevel_m - startLevel_m) * (end === "early" ? share : 1 - share);
}

export interface InflowThrough {
  readonly flows: readonly FlowEstimate[] | null;
  /** It is known on either side alone, and so tells what the pumps moved between. */
  readonly between: boolean;
}

/**
 * What came in during parts that join on: by what their pumps are known to move. Between two such parts it went on as a
 * straight line; a brief one after them has what was known before.
 *
 * @param from what came in just before them, `to` what just after
 * @param latest what was known to come in last
 */
export function inflowsThrough(
  parts: readonly RunPart[],
  movesAt: FlowsInRun,
  from: FlowEstimate | null,
  to: FlowEstimate | null,
  latest: FlowEstimate | null,
): InflowThrough[] {
  const known = parts.map((part) => inflowOfPart(part, movesAt));
  return known.map((flows, i) => {
    if (flows !== null) return { flows, between: false };
    const { ended } = parts[i] as RunPart;
    const first = i === 0 ? from : (known[i - 1]?.at(-1) ?? null);
    const last = i === known.length - 1 ? to : (known[i + 1]?.[0] ?? null);
    const brief = ended.cycle.run_s <= longRun_s;
    // Without its falls anything may have come in during a long one.
    if (first !== null && last !== null && (brief || (ended.early !== null && ended.late !== null)))
      return { flows: between(ended, first, last), between: true };
    const bridge = first ?? from ?? latest;
    return { flows: bridge !== null && brief ? [{ ...bridge, unseenCourse: "least" }] : null, between: false };
  });
}

/** By the fall of the volume, with what its pumps must move for that to join on at both ends; a straight line without any. */
function between(ended: EndedRun, first: FlowEstimate, last: FlowEstimate): FlowEstimate[] {
  const [early, late] = [plus(ended.early, first), plus(ended.late, last)];
  const falls = ended.parts.length > 0 ? ended.parts.map(({ fall }) => fall) : [ended.whole];
  const rate = early === null || late === null ? null : meanOf(early, late);
  return falls.map((fall, i) => {
    const flow = minus(rate, fall) ?? meanBetween(first, last, (i + 0.5) / falls.length);
    // By so much the two ends do not agree on what the pumps move.
    const off_m3s = early === null || late === null ? 0 : (early.flow_m3s - late.flow_m3s) / 2;
    return { ...flow, uFlow_m3s: Math.hypot(flow.uFlow_m3s, off_m3s) };
  });
}

function inflowOfPart({ set, ended }: RunPart, movesAt: FlowsInRun): FlowEstimate[] | null {
  if (ended.parts.length === 0) {
    const one = minus(movesAt(set, ended.meanLevel_m), ended.whole);
    return one === null ? null : [one];
  }
  const flows = ended.parts.map(({ fall, level_m }) => minus(movesAt(set, level_m), fall));
  const known = flows.filter((flow) => flow !== null);
  return known.length === flows.length ? known : null;
}

/** What its pumps moved, by what is known to have come in at its two ends. */
export function rateBetween(
  { ended: { early, late } }: RunPart,
  flows: readonly FlowEstimate[] | null,
): FlowEstimate | null {
  if (flows === null) return null;
  return agreed(plus(early, flows[0] ?? null), plus(late, flows.at(-1) ?? null));
}

/** By its rate, which holds at one level, carried through the levels in the course of it. */
export function movedInPart({ set, ended }: RunPart, rate: FlowEstimate | null, movesAt: FlowsInRun): number | null {
  const { parts, meanLevel_m, cycle } = ended;
  const there = rate ?? movesAt(set, meanLevel_m);
  if (there === null) return null;
  const flows_m3s = parts.map(({ level_m }) => movesAt(set, level_m)?.flow_m3s ?? Number.NaN);
  const mean_m3s = flows_m3s.reduce((sum, flow_m3s) => sum + flow_m3s, 0) / flows_m3s.length;
  const atRate_m3s = movesAt(set, meanLevel_m)?.flow_m3s ?? Number.NaN;
  const share = mean_m3s / atRate_m3s;
  return there.flow_m3s * cycle.run_s * (Number.isFinite(share) ? share : 1);
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
