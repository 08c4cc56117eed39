// What the report counts of each of two pumps: starts, time run, and what of their capacity is left when one fails.

import type { FlowEstimate } from "../cycles/cycle.ts";
import type { PumpNumber, PumpSet } from "../cycles/two-pumps/pump-sets.ts";
import { ranFor_s, startsInHourTo, type TallyState } from "./tally.ts";

export interface PumpTally {
  starts: number;
  startTimes_s: number[];
  mostStartsInAnHour: number;
  /** Finished runs, and since when it runs; null while it rests. */
  run_s: number;
  since_s: number | null;
}

const hour_s = 3600;

/** From now on each pump is counted by itself; all that has run so far was the first. */
export function splitTally(tally: TallyState, running: boolean, time_s: number): void {
  const { starts, mostStartsInAnHour } = tally;
  const since_s = running ? time_s : null;
  tally.pumps = [
    { starts, startTimes_s: [...tally.startTimes_s], mostStartsInAnHour, run_s: ranFor_s(tally), since_s },
    { starts: 0, startTimes_s: [], mostStartsInAnHour: 0, run_s: 0, since_s: null },
  ];
}

export function notePumpStart({ pumps }: TallyState, pump: PumpNumber, time_s: number): void {
  const own = pumps?.[pump - 1];
  if (own === undefined) return;
  own.starts += 1;
  own.startTimes_s.push(time_s);
  while ((own.startTimes_s[0] ?? Number.POSITIVE_INFINITY) <= time_s - hour_s) own.startTimes_s.shift();
  own.mostStartsInAnHour = Math.max(own.mostStartsInAnHour, own.startTimes_s.length);
}

/** From `time_s` on this set of pumps runs. */
export function notePumpsRunning({ pumps }: TallyState, time_s: number, set: PumpSet): void {
  if (pumps === null) return;
  note(pumps[0], time_s, set === 1 || set === 3);
  note(pumps[1], time_s, set === 2 || set === 3);
}

function note(pump: PumpTally, time_s: number, running: boolean): void {
  if (running) {
    pump.since_s ??= time_s;
  } else if (pump.since_s !== null) {
    pump.run_s += Math.max(0, time_s - pump.since_s);
    pump.since_s = null;
  }
}

/** Finished runs and the one under way. */
export function pumpRanFor_s({ run_s, since_s }: PumpTally, now_s: number): number {
  return run_s + (since_s === null ? 0 : Math.max(0, now_s - since_s));
}

export function pumpStartsInLastHour({ startTimes_s }: PumpTally, time_s: number): number {
  return startsInHourTo(startTimes_s, time_s);
}

/** What the set of pumps moves, as learned; the first one's where none runs. */
export function rateOfSet({ pumpRate, secondRate, bothRate }: TallyState, set: PumpSet): FlowEstimate | null {
  return set === 2 ? secondRate : set === 3 ? bothRate : pumpRate;
}

/** Pumps that each take so large a share of the starts take turns on duty. */
const takesTurns = 0.25;

/**
 * What is moved with one pump failed: what the pump on duty moves alone, and, of two that take turns, the weaker one.
 * Common practice, no source.
 */
export function firmRate({ pumps, pumpRate, secondRate }: TallyState): FlowEstimate | null {
  if (pumps === null || pumpRate === null || secondRate === null) return pumpRate;
  return takeTurns(pumps) && secondRate.flow_m3s < pumpRate.flow_m3s ? secondRate : pumpRate;
}

export function takeTurns([first, second]: readonly [PumpTally, PumpTally]): boolean {
  const starts = first.starts + second.starts;
  return starts > 0 && Math.min(first.starts, second.starts) >= takesTurns * starts;
}
