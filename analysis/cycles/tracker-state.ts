// What the tracker of cycles remembers between readings, among it what has been learned of each set of pumps.

import type { PartRuns } from "../inflow/active-volume.ts";
import { newReturnProfile, type ReturnProfileState } from "../inflow/drain-back/return-profile.ts";
import { newSeldomReturn, type SeldomReturnState } from "../inflow/drain-back/seldom-return.ts";
import { newUnseenReturn, type UnseenReturnState } from "../inflow/drain-back/unseen-return.ts";
import { type CalmMeanState, newCalmMean } from "../inflow/over-time/calm-mean.ts";
import { newRestMemory, type RestMemory } from "../inflow/rest/rest-memory.ts";
import { type CapabilityState, newCapability } from "../pump-flow/capability-state.ts";
import { newPumpHistory, type PumpHistoryState } from "../pump-flow/pump-history.ts";
import { newTripLevels, type TripLevelsState } from "../readings/trip-levels.ts";
import type { FlowEstimate } from "./cycle.ts";
import type { EndedRun, RestSummary } from "./ended-run.ts";
import type { WaitingParts } from "./part-of-rest.ts";
import { longRun_s } from "./run-lengths.ts";
import { newRunningLoad, type RunningLoadState } from "./running-load.ts";
import { emptySamples, type SamplesState } from "./samples.ts";
import { type CallsState, newCalls } from "./two-pumps/called-by.ts";
import { newPumpSets, type PumpSet, type PumpSetsState } from "./two-pumps/pump-sets.ts";
import { newRunParts, type RunPartsState } from "./two-pumps/run-parts.ts";

/** What a pump, or both together, have been seen to move. */
export interface LearnedPump {
  readonly capability: CapabilityState;
  readonly history: PumpHistoryState;
}

export interface TrackerState extends LearnedPump {
  phase: "unknown" | "rest" | "run";
  /** Beginning of the phase; null when it was not seen. */
  phaseFrom_s: number | null;
  /** From when on a rest is watched that was not seen to begin; absent: there is none. */
  unbegunFrom_s?: number;
  /** Rests not seen as a whole, of which the inflow is told once that of one is known; absent: there are none. */
  unbegun?: WaitingParts;
  /** Readings over the rim, less those under it since. */
  overRim: number;
  /** By how much the water has shown the contact to be late at stops, of late, on the average; absent: it never was. */
  stopsLate_s?: number;
  /** Runs in this rest that the level alone has shown; absent: none. */
  unseenRuns?: number;
  /** When the high float was last lifted, and when the supply last came back; absent before either has been. */
  liftedAt_s?: number;
  poweredAt_s?: number;
  readonly samples: SamplesState;
  before: RestSummary | null;
  ended: EndedRun | null;
  /** Where the floats alone tell: what has been drawn since the basin was full; null: it was not seen to be. */
  partRuns: PartRuns | null;
  readonly returns: ReturnProfileState;
  readonly unseen: UnseenReturnState;
  readonly seldom: SeldomReturnState;
  readonly memory: RestMemory;
  /** Of the first pump, or the only one. */
  readonly capability: CapabilityState;
  readonly history: PumpHistoryState;
  /** Of the second pump by itself, and of both together. */
  readonly second: LearnedPump;
  readonly both: LearnedPump;
  readonly pumps: PumpSetsState;
  /** Which of two floats called the latest runs. */
  readonly calls: CallsState;
  /** Of the run in progress, and of the one that waits for the rest after it. */
  inRun: RunPartsState;
  endedParts: RunPartsState;
  readonly load: RunningLoadState;
  /** Where the float trips, by the level. */
  readonly trips: TripLevelsState;
  /** What rests say together while little changes, and by how much the newest was moved to that. */
  readonly calm: CalmMeanState;
  moved_m3s: number;
  /** Latest inflow that is well known, and the latest towards the end of a rest. */
  lastInflow: FlowEstimate | null;
  endInflow: FlowEstimate | null;
  lastRate: FlowEstimate | null;
  /** Which of two pumps the latest settled run was of; absent before the first. */
  ranLast?: PumpSet;
  /** Running mean of the lengths of runs; NaN before the first. */
  typicalRun_s: number;
}

export function newTracker(): TrackerState {
  return {
    phase: "unknown",
    phaseFrom_s: null,
    overRim: 0,
    samples: emptySamples(),
    before: null,
    ended: null,
    partRuns: null,
    returns: newReturnProfile(),
    unseen: newUnseenReturn(),
    seldom: newSeldomReturn(),
    memory: newRestMemory(),
    capability: newCapability(),
    history: newPumpHistory(),
    second: newLearnedPump(),
    both: newLearnedPump(),
    pumps: newPumpSets(),
    calls: newCalls(),
    inRun: newRunParts(0, Number.NaN),
    endedParts: newRunParts(0, Number.NaN),
    load: newRunningLoad(),
    trips: newTripLevels(),
    calm: newCalmMean(),
    moved_m3s: 0,
    lastInflow: null,
    endInflow: null,
    lastRate: null,
    typicalRun_s: Number.NaN,
  };
}

function newLearnedPump(): LearnedPump {
  return { capability: newCapability(), history: newPumpHistory() };
}

/** A second pump that only stands by changes nothing. */
export function onlyFirstRan({ second, both }: TrackerState): boolean {
  return second.capability.lessons === 0 && both.capability.lessons === 0;
}

/** Without a second pump all runs are the first one's. */
export function learnedBy(state: TrackerState, set: PumpSet): LearnedPump {
  return set === 2 ? state.second : set === 3 ? state.both : state;
}

/** A short run between rests too short to tell has the inflow known before. */
export function briefly({ lastInflow }: TrackerState, { cycle }: EndedRun): FlowEstimate[] | null {
  return lastInflow !== null && cycle.run_s <= longRun_s ? [lastInflow] : null;
}
