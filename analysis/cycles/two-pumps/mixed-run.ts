// A run in which the set of pumps changes: parted where it does, each part worked off by itself.

import type { DrainBack } from "../../inflow/drain-back/drain-back.ts";
import { inflowDuringRun } from "../../pump-flow/inflow-during-run.ts";
import { finalRate, movedVolume_m3 } from "../../pump-flow/run-rate.ts";
import type { Cycle, FlowEstimate } from "../cycle.ts";
import { type EndedRun, endedRun, type RestSummary } from "../ended-run.ts";
import { learnPump } from "../learn-from-run.ts";
import { longRun_s } from "../run-lengths.ts";
import type { TrackerContext } from "../tracker-context.ts";
import { briefly, learnedBy, type TrackerState } from "../tracker-state.ts";
import { flowsInRun } from "./flows-in-run.ts";
import { rateIsOf } from "./pump-sets.ts";
import {
  inflowsThrough,
  isMixed,
  movedInPart,
  type PartBeside,
  type RunPart,
  type RunPartsState,
  rateBetween,
  rateOfPart,
  splitSamples,
} from "./run-parts.ts";

/** A storm with many changes of the pumps is worked off as it goes. */
const mostWaiting = 64;

/** One set of pumps ran up to `to_s`, another runs from `next_s` on. */
export function endPart(state: TrackerState, context: TrackerContext, to_s: number, next_s: number): void {
  const { inRun, samples, memory } = state;
  const { set, from_s, waiting } = inRun;
  const before = isMixed(inRun) ? null : state.before;
  if (to_s > from_s) {
    const ended = splitSamples(samples, to_s, next_s, (part) =>
      endedRun(part, context, from_s, to_s, before, memory.short),
    );
    waiting.push({ set, ended });
  }
  inRun.from_s = next_s;
  if (waiting.length > mostWaiting) passParts(state, context, inRun, mostWaiting, null, null);
}

/** The run as a whole: its levels are those of its first and its last part, and its rate is known after the rest. */
export function endMixedRun(state: TrackerState, context: TrackerContext, to_s: number): EndedRun {
  const { inRun, samples, before, phaseFrom_s, memory } = state;
  const last = endedRun(samples, context, inRun.from_s, to_s, null, memory.short);
  inRun.waiting.push({ set: inRun.set, ended: last });
  const from_s = phaseFrom_s ?? inRun.from_s;
  const first = inRun.passed === null ? (inRun.waiting[0]?.ended.cycle ?? null) : null;
  return {
    ...last,
    before,
    lateStart_s: null,
    cycle: {
      startedAt_s: from_s,
      stoppedAt_s: to_s,
      run_s: to_s - from_s,
      rest_s: before?.rest_s ?? null,
      startLevel_m:
        before?.endVolume_m3 == null ? (first?.startLevel_m ?? null) : context.geometry.level_m(before.endVolume_m3),
      stopLevel_m: last.cycle.stopLevel_m,
      inflow: before?.inflow ?? null,
      pumpRate: null,
      drainBack_m3: null,
    },
  };
}

/** As a run of one set of pumps, but for its rate, which is that of its longest part. */
export function settleMixed(
  state: TrackerState,
  context: TrackerContext,
  ended: EndedRun,
  after: RestSummary | null,
  drainBack: DrainBack | null,
): void {
  const { endedParts } = state;
  const brief = ended.cycle.run_s <= longRun_s;
  // What was known of the pumps before this run says what came in during a brief one, its own rests the rest.
  const during = brief ? (inflowDuringRun(state.capability, ended, after, true) ?? briefly(state, ended)) : null;
  if (brief) context.output.inflow(ended.cycle.startedAt_s, ended.cycle.stoppedAt_s, during);
  passParts(state, context, endedParts, endedParts.waiting.length, ended, after);
  const { rate, rateOf, moved_m3 } = endedParts;
  const cycle: Cycle = {
    ...ended.cycle,
    pumpRate: rate,
    drainBack_m3: drainBack?.volume_m3 ?? null,
    ...rateIsOf(ended.cycle, rateOf),
  };
  context.output.cycle(cycle, "settled");
  const balance_m3 = movedVolume_m3(cycle, ended.before, after, drainBack);
  context.output.pumped(cycle, balance_m3 ?? (Number.isNaN(moved_m3) ? null : moved_m3));
}

/**
 * Works off the oldest parts of a run that wait: the rate of each and what that teaches of its pumps, and then, with all that
 * they teach, what came in meanwhile. A storm in which both pumps run for the first time is followed through it by what that
 * very run has shown of them.
 *
 * @param count how many of them
 * @param ended the run, once it has ended
 */
function passParts(
  state: TrackerState,
  context: TrackerContext,
  parts: RunPartsState,
  count: number,
  ended: EndedRun | null,
  after: RestSummary | null,
): void {
  const before = ended === null ? state.before : ended.before;
  const brief = ended !== null && ended.cycle.run_s <= longRun_s;
  const passing = parts.waiting.splice(0, count);
  const next = parts.waiting[0] ?? null;
  const learn = (part: RunPart, i: number, rate: FlowEstimate | null) => {
    if (rate === null || part.set === 0) return;
    const seen: EndedRun = {
      ...part.ended,
      before,
      ...(parts.passed === null && i === 0 ? {} : { lateStart_s: null }),
      ...(brief ? {} : { halves: null }),
    };
    const { run_s } = part.ended.cycle;
    learnPump(state, learnedBy(state, part.set), context, seen, after, rate);
    if (run_s > parts.longest_s) Object.assign(parts, { longest_s: run_s, rate, rateOf: part.set });
  };
  const rated = passing.map((part, i) => {
    const beside = { before, previous: passing[i - 1] ?? parts.passed, next: passing[i + 1] ?? next, after };
    const rate = brief ? rateOfBriefPart(state, context, part, before, after) : rateOfLongPart(state, part, beside);
    learn(part, i, rate);
    return { part, rate };
  });
  const movesAt = flowsInRun(rated, (set) => learnedBy(state, set).capability);
  const from = parts.inflow ?? (parts.passed === null ? (before?.last?.inflow ?? null) : null);
  const to = ended === null ? null : (after?.first?.inflow ?? null);
  const inflows = brief ? null : inflowsThrough(passing, movesAt, from, to, state.lastInflow);
  for (const [i, { part, rate }] of rated.entries()) {
    const { flows, between } = inflows?.[i] ?? { flows: null, between: false };
    const shown = between ? rateBetween(part, flows) : null;
    if (rate === null) learn(part, i, shown);
    parts.moved_m3 += movedInPart(part, rate, movesAt) ?? balanceOfPart(part, flows, context) ?? Number.NaN;
    parts.passed = part;
    parts.inflow = flows?.at(-1) ?? parts.inflow;
    const { startedAt_s, stoppedAt_s } = part.ended.cycle;
    const to_s = (passing[i + 1] ?? next)?.ended.cycle.startedAt_s ?? stoppedAt_s;
    if (brief) continue;
    context.output.inflow(startedAt_s, to_s, flows);
    if (flows === null && part.ended.cycle.run_s > longRun_s) context.output.unknown(part.ended.cycle.run_s);
  }
}

/** The rests on either side are near: what came in is known from them. */
function rateOfBriefPart(
  state: TrackerState,
  context: TrackerContext,
  part: RunPart,
  before: RestSummary | null,
  after: RestSummary | null,
): FlowEstimate | null {
  if (part.ended.whole === null) return null;
  return finalRate({ ...part.ended, before }, after, learnedBy(state, part.set).capability, context, null);
}

function rateOfLongPart(state: TrackerState, part: RunPart, beside: PartBeside): FlowEstimate | null {
  return rateOfPart(part, beside, (set) => learnedBy(state, set).capability);
}

/** By the fall of the volume and what came in meanwhile, where nothing tells what its pumps move. */
function balanceOfPart(
  { ended: { cycle } }: RunPart,
  flows: readonly FlowEstimate[] | null,
  { geometry }: TrackerContext,
): number | null {
  const { startLevel_m, stopLevel_m, run_s } = cycle;
  if (flows === null || startLevel_m === null || stopLevel_m === null) return null;
  const mean_m3s = flows.reduce((sum, { flow_m3s }) => sum + flow_m3s, 0) / flows.length;
  return geometry.volume_m3(startLevel_m) - geometry.volume_m3(stopLevel_m) + mean_m3s * run_s;
}
