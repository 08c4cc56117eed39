// What the report counts, kept as readings and cycles come; the cycles themselves are not kept.

import type { Cycle, CycleStage, FlowEstimate } from "../cycles/cycle.ts";
import type { Finding } from "../findings/finding.ts";

export interface TallyState {
  rows: number;
  /** Readings older than the one before, left out. */
  late: number;
  start_s: number | null;
  end_s: number | null;
  readonly gaps: { from_s: number; to_s: number }[];
  starts: number;
  run_s: number;
  pumped_m3: number;
  /** Length of the settled runs whose pumped volume is known. */
  measuredRun_s: number;
  settledCycles: number;
  startTimes_s: number[];
  mostStartsInAnHour: number;
  /** Newest first. */
  recentCycles: Cycle[];
  endedFindings: Finding[];
  pumpRate: FlowEstimate | null;
}

export function newTally(): TallyState {
  return {
    rows: 0,
    late: 0,
    start_s: null,
    end_s: null,
    gaps: [],
    starts: 0,
    run_s: 0,
    pumped_m3: 0,
    measuredRun_s: 0,
    settledCycles: 0,
    startTimes_s: [],
    mostStartsInAnHour: 0,
    recentCycles: [],
    endedFindings: [],
    pumpRate: null,
  };
}

const hour_s = 3600;
const recent = 8;

export function noteStart(tally: TallyState, time_s: number): void {
  tally.starts += 1;
  tally.startTimes_s.push(time_s);
  while ((tally.startTimes_s[0] ?? Number.POSITIVE_INFINITY) <= time_s - hour_s) tally.startTimes_s.shift();
  tally.mostStartsInAnHour = Math.max(tally.mostStartsInAnHour, tally.startTimes_s.length);
}

/** Starts in the hour up to `time_s`; forgets none, since one that is read off the level becomes known late. */
export function startsInLastHour({ startTimes_s }: TallyState, time_s: number): number {
  let first = 0;
  while ((startTimes_s[first] ?? Number.POSITIVE_INFINITY) <= time_s - hour_s) first += 1;
  return startTimes_s.length - first;
}

export function noteCycle(tally: TallyState, cycle: Cycle, stage: CycleStage): void {
  if (stage === "stopped") {
    tally.run_s += cycle.run_s;
    tally.recentCycles.unshift(cycle);
    tally.recentCycles.length = Math.min(tally.recentCycles.length, recent);
    return;
  }
  tally.settledCycles += 1;
  const i = tally.recentCycles.findIndex((other) => other.startedAt_s === cycle.startedAt_s);
  if (i !== -1) tally.recentCycles[i] = cycle;
}

export function notePumped(tally: TallyState, cycle: Cycle, volume_m3: number | null): void {
  if (volume_m3 === null) return;
  tally.pumped_m3 += volume_m3;
  tally.measuredRun_s += cycle.run_s;
}
