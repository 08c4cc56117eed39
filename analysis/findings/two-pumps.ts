// What rules may look at where there are two pumps: which of them run, how often each has started, whose loss is seen,
// and what is left when one of them fails.

import type { AnalyzerState } from "../analyzer-state.ts";
import { secondDead } from "../cycles/by-signal/signal-and-pump.ts";
import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import { idleByCalls } from "../cycles/two-pumps/called-by.ts";
import type { PumpNumber, PumpSet, PumpSetsState } from "../cycles/two-pumps/pump-sets.ts";
import { knownStarts } from "../inflow/seldom-readings/reckoned-starts.ts";
import { lastingChange, type PumpComparison, slowChange, suddenChange } from "../pump-flow/pump-change.ts";
import { firmRate, pumpStartsInLastHour, takeTurns } from "../report/pump-tally.ts";
import type { Site } from "../site.ts";
import type { Evidence } from "./finding.ts";
import type { View } from "./rule.ts";

export interface TwoPumps {
  set: PumpSet;
  /** Whose flow the latest run's rate is; while none runs, what is known is known of these. */
  lastSet: PumpSet;
  /** What is moved with one of them failed; null before it is known. */
  firmRate: FlowEstimate | null;
  /** Whose `suddenChange` and `slowChange` are told: of the pump that has lost more. */
  suddenOf: PumpNumber | null;
  slowOf: PumpNumber | null;
  /** Starts of each in the last hour, and when it started last; null before its first. */
  readonly starts: [number, number];
  readonly startedAt_s: [number | null, number | null];
  /** They take turns on duty. */
  takeTurns: boolean;
  /** The one that does not start, by which of them have run. */
  idle: PumpNumber | null;
  /** What tells of the second, and whether it has stood still while the level went up and down. */
  secondSignal: PumpSetsState["origin"];
  secondDead: boolean;
}

export function newTwoPumps(): TwoPumps {
  return {
    set: 0,
    lastSet: 0,
    firmRate: null,
    suddenOf: null,
    slowOf: null,
    starts: [0, 0],
    startedAt_s: [null, null],
    takeTurns: false,
    idle: null,
    secondSignal: null,
    secondDead: false,
  };
}

/** Brings it up to date, at every reading. */
export function lookAtPumps(two: TwoPumps, state: AnalyzerState, time_s: number): void {
  const { tracker, tally } = state;
  two.set = tracker.pumps.set;
  two.secondSignal = tracker.pumps.origin;
  two.idle = idleByCalls(tracker.calls);
  two.secondDead = secondDead(state);
  const rateOf = tally.recentCycles[0]?.pumps?.rateOf ?? null;
  two.lastSet = rateOf === null ? 0 : rateOf === "both" ? 3 : rateOf;
  two.firmRate = firmRate(tally);
  if (tally.pumps === null) return;
  two.starts[0] = pumpStartsInLastHour(tally.pumps[0], time_s);
  two.starts[1] = pumpStartsInLastHour(tally.pumps[1], time_s);
  two.startedAt_s[0] = tally.pumps[0].startTimes_s.at(-1) ?? null;
  two.startedAt_s[1] = tally.pumps[1].startTimes_s.at(-1) ?? null;
  two.takeTurns = takeTurns(tally.pumps);
}

/** Holds each pump against its own past, once a cycle has settled. */
export function comparePumps(two: TwoPumps, view: View, { tracker }: AnalyzerState): void {
  const { history, second, both } = tracker;
  const sudden = [suddenChange(history), suddenChange(second.history)];
  two.suddenOf = worst(sudden);
  view.suddenChange = sudden[(two.suddenOf ?? 1) - 1] ?? null;
  view.lastingChange = lastingChange(two.suddenOf === 2 ? second.history : history);
  // A loss of both together that the first by itself does not show is the second one's, which may never run alone.
  const slow = [slowChange(history), slowChange(second.history) ?? slowChange(both.history)];
  two.slowOf = worst(slow);
  view.slowChange = slow[(two.slowOf ?? 1) - 1] ?? null;
}

function worst([first, second]: readonly (PumpComparison | null)[]): PumpNumber | null {
  if (first == null) return second == null ? null : 2;
  return second != null && kept(second) < kept(first) ? 2 : 1;
}

function kept({ before, now }: PumpComparison): number {
  return now.flow_m3s / before.flow_m3s;
}

/** Down there no float holds a pump on any more. */
export function lowestStop_m({ basin, pumps }: Site): number | null {
  const second_m = pumps?.[1].stopLevel_m ?? null;
  if (basin.stopLevel_m === null || second_m === null) return basin.stopLevel_m;
  return Math.min(basin.stopLevel_m, second_m);
}

/**
 * One pump stands by: it rests, and the water is not yet where it is called. Beside the second, left to run where the one on
 * duty has stopped, that is the lower float.
 */
export function standsBy({ pumps, site, level_m }: View): boolean {
  if (pumps === null || (pumps.set !== 1 && pumps.set !== 2)) return false;
  const upper_m = site.pumps?.[1].startLevel_m ?? null;
  if (upper_m === null) return false;
  const starts_m = pumps.set === 1 || pumps.takeTurns ? upper_m : site.basin.startLevel_m;
  return starts_m !== null && level_m !== null && level_m < starts_m + pastStart_m;
}

/** The water is not yet where the upper of two floats calls the other pump, whichever of them runs. */
export function isUnderUpper({ site, level_m }: View): boolean {
  const upper_m = site.pumps?.[1].startLevel_m ?? null;
  return upper_m !== null && level_m !== null && level_m < upper_m + pastStart_m;
}

/** A float's own scatter stays below this; common practice, no source. */
const pastStart_m = 0.015;

/** Two floats that hang close to each other scatter by less. */
export const overOwnStart_m = 0.02;

/** The pump that the lower of two floats calls; null where one level calls both, or nobody knows whose turn it is. */
export function firstCalled({ pumps, site }: View): PumpNumber | null {
  const upper_m = site.pumps?.[1].startLevel_m ?? null;
  if (pumps === null || upper_m === null || site.basin.startLevel_m === null) return null;
  if (upper_m < site.basin.startLevel_m + 2 * overOwnStart_m) return null;
  if (!pumps.takeTurns) return 1;
  const [first_s, second_s] = pumps.startedAt_s;
  if (first_s === null || second_s === null || first_s === second_s) return null;
  return first_s > second_s ? 2 : 1;
}

/** Which pump a finding is about, for its evidence; nothing where there is one. */
export function whichPump(pump: PumpNumber | null | undefined): Evidence {
  return pump == null ? {} : { pump };
}

/** Whether the cycle's rate says something of that pump; without a pump in the evidence there is but one. */
export function tellsOf({ pumps }: Cycle, pump: Evidence[string] | undefined): boolean {
  return pump == null || pumps == null || pumps.rateOf === pump;
}

/** The first pump that started more often than its motor allows, with what it may; by one pump's own count without two. */
export function startsOver(view: View, share: number): { readonly pump: PumpNumber | null } | null {
  const over = (pump: PumpNumber | null) => {
    const { starts, byInflow } = startsOf(view, pump);
    return isOver(byInflow?.atLeast ?? starts, limitOf(view.site, pump ?? 1), share);
  };
  if (view.pumps === null) return over(null) ? { pump: null } : null;
  return over(1) ? { pump: 1 } : over(2) ? { pump: 2 } : null;
}

/**
 * Starts in the last hour, of one pump or of all. Where more took place between readings, as what comes in tells, they are those
 * of the pump on duty while the other has not been seen to run.
 */
export function startsOf(view: View, pump: PumpNumber | null): ReturnType<typeof knownStarts> {
  const { pumps, startsInLastHour, startsByInflow } = view;
  if (pumps === null || pump === null) return knownStarts(startsInLastHour, startsByInflow);
  const aloneOnDuty = pump === 1 && pumps.starts[1] === 0 && !pumps.takeTurns;
  return knownStarts(pumps.starts[pump - 1] ?? 0, aloneOnDuty ? startsByInflow : null);
}

/** Starts in an hour that a pump's motor allows; null when not given. */
export function limitOf(site: Site, pump: PumpNumber): number | null {
  return (pump === 1 ? site.pump : site.pumps?.[1])?.maxStartsPerHour ?? null;
}

function isOver(starts: number, limit: number | null, share: number): boolean {
  return limit != null && starts > limit * share;
}
