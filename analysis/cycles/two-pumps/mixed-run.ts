// A run in which the set of pumps changes: parted where it does, each part worked off by itself.

import type { DrainBack } from "../../inflow/drain-back/drain-back.ts";
import { inflowDuringRun } from "../../pump-flow/inflow-during-run.ts";
import { capabilityAt } from "../../pump-flow/pump-capability.ts";
import { finalRate, movedVolume_m3 } from "../../pump-flow/run-rate.ts";
import type { Cycle, FlowEstimate } from "../cycle.ts";
import { type EndedRun, endedRun, type RestSummary } from "../ended-run.ts";
import { learnPump } from "../learn-from-run.ts";
import { longRun_s } from "../run-lengths.ts";
import type { TrackerContext } from "../tracker-context.ts";
import { briefly, learnedBy, type TrackerState } from "../tracker-state.ts";
import { rateIsOf } from "./pump-sets.ts";
import {
  inflowOfPart,
  isMixed,
  type PartBeside,
  type RunPart,
  type RunPartsState,
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
  if (waiting.length > mostWaiting) passPart(state, context, inRun, null, null);
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
  while (endedParts.waiting.length > 0) passPart(state, context, endedParts, ended, after);
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
 * Works off the oldest part of a run that waits: its rate, what that teaches of its pumps, and what came in meanwhile.
 *
 * @param ended the run, once it has ended
 */
function passPart(
  state: TrackerState,
  context: TrackerContext,
  parts: RunPartsState,
  ended: EndedRun | null,
  after: RestSummary | null,
): void {
  const part = parts.waiting.shift();
  if (part === undefined) return;
  const first = parts.passed === null;
  const next = parts.waiting[0] ?? null;
  const before = ended === null ? state.before : ended.before;
  const brief = ended !== null && ended.cycle.run_s <= longRun_s;
  const beside = { before, previous: parts.passed, next, after };
  const rate = brief ? rateOfBriefPart(state, context, part, before, after) : rateOfLongPart(state, part, beside);
  const { cycle } = part.ended;
  const learned = learnedBy(state, part.set);
  if (!brief) passInflowOfPart(state, context, parts, part, next);
  if (rate !== null && part.set !== 0) {
    const seen: EndedRun = {
      ...part.ended,
      before,
      ...(first ? {} : { lateStart_s: null }),
      ...(brief ? {} : { halves: null }),
    };
    learnPump(state, learned, context, seen, after, rate);
    if (cycle.run_s > parts.longest_s) Object.assign(parts, { longest_s: cycle.run_s, rate, rateOf: part.set });
  }
  const known = rate ?? capabilityAt(learned.capability, part.ended.meanLevel_m);
  parts.moved_m3 += known === null ? Number.NaN : known.flow_m3s * cycle.run_s;
  parts.passed = part;
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

/** A part too short to tell has the inflow known before. */
function passInflowOfPart(
  state: TrackerState,
  { output }: TrackerContext,
  parts: RunPartsState,
  part: RunPart,
  next: RunPart | null,
): void {
  const { startedAt_s, stoppedAt_s, run_s } = part.ended.cycle;
  const found = inflowOfPart(part, (set) => learnedBy(state, set).capability);
  const bridge = parts.inflow ?? state.lastInflow;
  const flows = found ?? (bridge !== null && run_s <= longRun_s ? [bridge] : null);
  if (found !== null) parts.inflow = found.at(-1) ?? null;
  output.inflow(startedAt_s, next?.ended.cycle.startedAt_s ?? stoppedAt_s, flows);
}
