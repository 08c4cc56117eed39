// What one run moved out of the basin, as the rest after it shows it.

import { drawnBetweenFloats } from "../inflow/active-volume.ts";
import type { DrainBack } from "../inflow/drain-back/drain-back.ts";
import { showsItsCourse } from "../inflow/drain-back/returned-water.ts";
import { mayGoUnseen } from "../inflow/drain-back/unseen-return.ts";
import { comesByLevel } from "../pump-flow/inflow-beside-run.ts";
import { isImpaired } from "../pump-flow/inflow-during-run.ts";
import { capabilityAt } from "../pump-flow/pump-capability.ts";
import { balance_m3, movedVolume_m3, volumeByRate_m3 } from "../pump-flow/run-rate.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import type { Cycle, FlowEstimate } from "./cycle.ts";
import type { EndedRun, RestSummary } from "./ended-run.ts";
import { chatterRun_s, longRun_s } from "./run-lengths.ts";
import { lengthUnknown, type TrackerContext, uEdges_s } from "./tracker-context.ts";
import type { LearnedPump } from "./tracker-state.ts";

export interface SettledRun {
  readonly ended: EndedRun;
  /** With its final rate. */
  readonly cycle: Cycle;
  readonly after: RestSummary | null;
  /** What was in the basin again before it could be seen gone; null where none is seen. */
  readonly drainBack: DrainBack | null;
  /** What came in meanwhile, over equal parts; null where nothing tells. */
  readonly during: readonly FlowEstimate[] | null;
  /** Without a level: more came in than the pump moves. */
  readonly overtaken: boolean;
  readonly ofTwoPumps: boolean;
}

export interface MovedVolume {
  /** Null where nothing tells. */
  readonly volume_m3: number | null;
  /** What the length of the run leaves unsure of it, where it goes by its rate. */
  readonly uLength_m3: number;
}

/** Where no level shows it, from the one float to the other, and else as the level shows it. */
export function movedByRun(run: SettledRun, learned: LearnedPump, context: TrackerContext): MovedVolume {
  const { ended, cycle, after, overtaken, ofTwoPumps } = run;
  // Of two pumps whole runs go by between readings far apart, and rests with them; reckoned where they take turns.
  const goBy = ofTwoPumps && !context.takesTurns && lengthUnknown(cycle.run_s, context);
  const drawn = overtaken || goBy ? null : drawnBetweenFloats(context, cycle.run_s, ended.before, after, ended.more_m3);
  if (drawn !== null) return { volume_m3: drawn.volume_m3, uLength_m3: drawn.uVolume_m3 };
  return pumped(run, learned, context);
}

/**
 * By the balance over the run, unless it may lack what came back between two readings: then by its rate. A run in which too
 * few readings fell for a rate of its own looks shorter than it was, as the others look longer: it has the usual rate, so
 * that their sum is right. So has a switch of a few seconds, which shows in no level.
 */
function pumped(
  { ended, cycle, after, drainBack, during, overtaken }: SettledRun,
  { capability }: LearnedPump,
  context: TrackerContext,
): MovedVolume {
  const usual = capabilityAt(capability, cycle.startLevel_m);
  const closely = context.longInterval_s <= closelyRead_s;
  const byUsual_m3 = () => volumeByRate_m3({ ...cycle, pumpRate: usual }, cycle.run_s);
  const exactly = (volume_m3: number | null) => ({ volume_m3, uLength_m3: 0 });
  if (overtaken) return exactly(byUsual_m3());
  // One that runs dry goes on with as much as comes in, which the rests on either side show.
  const ranDry = cycle.run_s > longRun_s && ended.wet_s < cycle.run_s;
  const throughDry_m3 = ranDry ? balance_m3(cycle, ended.before, after, drainBack) : null;
  if (throughDry_m3 !== null) return exactly(throughDry_m3);
  // What came in over a long run is followed through it, where its rate goes by its two ends.
  const followed = cycle.run_s > longRun_s && during !== null ? meanInParts(during) : null;
  // Of one that the pump ran for hours and moved next to nothing its usual rate would make more than all others moved.
  if (cycle.run_s > longRun_s && isImpaired(capability, ended, after, closely))
    return exactly(balance_m3(cycle, ended.before, after, drainBack, followed ?? undefined));
  const balanced_m3 = followed && balance_m3(cycle, ended.before, after, drainBack, followed);
  if (balanced_m3 !== null) return exactly(balanced_m3);
  const balances = drainBack !== null && (ended.cycle.pumpRate !== null || showsItsCourse(drainBack, context));
  const rate = ended.cycle.pumpRate ?? usual;
  if (!balances && mayGoUnseen(rate, context))
    return {
      volume_m3: volumeByRate_m3(cycle, ended.wet_s) ?? byUsual_m3(),
      uLength_m3: (rate?.flow_m3s ?? 0) * uEdges_s(context),
    };
  // What the run is told to have had come in, it had to move, too: a tap that ran beside it, the ground's water that comes
  // in faster and faster as the level is drawn down. Readings far apart say of a run less than the rests beside it.
  const told = during !== null && (closely || comesByLevel(ended.before, after)) ? meanInParts(during) : null;
  return exactly(
    (told && balance_m3(cycle, ended.before, after, drainBack, told)) ??
      movedVolume_m3(cycle, ended.before, after, drainBack, closely ? ended.meanLevel_m : null) ??
      volumeByRate_m3(cycle, ended.wet_s) ??
      (cycle.run_s < chatterRun_s ? byUsual_m3() : null),
  );
}

/** Over equal parts. */
function meanInParts(flows: readonly FlowEstimate[]): FlowEstimate | null {
  const [first] = flows;
  return first === undefined
    ? null
    : { ...first, flow_m3s: flows.reduce((sum, { flow_m3s }) => sum + flow_m3s, 0) / flows.length };
}
