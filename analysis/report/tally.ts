// What the report counts, kept as readings and cycles come; the cycles themselves are not kept.

import type { Cycle, CycleStage, FlowEstimate } from "../cycles/cycle.ts";
import { showsNone } from "../findings/check-valve-leak.ts";
import type { Finding } from "../findings/finding.ts";
import type { PumpedByShare } from "../inflow/seldom-readings/over-stretch.ts";
import {
  coverageFactor,
  knownStarts,
  type ReckonedStarts,
  type StartsOfStretch,
} from "../inflow/seldom-readings/reckoned-starts.ts";
import type { PumpTally } from "./pump-tally.ts";
import { type UnwatchedRuns, uReturnUnseen_m3 } from "./unwatched-runs.ts";

interface Gap {
  readonly from_s: number;
  readonly to_s: number;
}

/** What taps between readings made the pump do, beyond what its runs by themselves show of it. */
export interface TapsMadeUp {
  readonly length_s: number;
  readonly pumped_m3: number;
  /** Errors of these are taken as equal. */
  readonly uPumped_m3: number;
  readonly starts: number;
}

export interface TallyState {
  rows: number;
  /** Readings older than the one before, left out. */
  late: number;
  start_s: number | null;
  end_s: number | null;
  /** The newest gaps and ended findings, and how many older ones were let go. */
  readonly gaps: Gap[];
  gapsLeftOut: number;
  starts: number;
  /** Sum of the runs of cycles. */
  run_s: number;
  /** It was known at some time what the pump does: one of its runs was seen, or none goes by unseen. */
  pumpSeen: boolean;
  /** Time in which a signal said that the pump runs, and that of the runs read off the level before it did; null without one. */
  signalRun_s: number | null;
  /** Its variance, where readings are so far apart that each run is seen for longer or shorter than it lasts. */
  signalVariance_s2: number;
  /** Time with the water well over the start level and no signal that tells what the pump does. */
  blind_s: number;
  /** Time with the water at the rim, where no level shows how much comes. */
  overRim_s: number;
  pumped_m3: number;
  /** Its variance, the errors of the runs taken as independent. */
  pumpedVariance_m6: number;
  /** Standard uncertainty of what ran back after their stops and was not seen: the valve lets through as much each time. */
  uReturned_m3: number;
  /** Runs that the level alone shows, within what the pump's signal says were rests, and what they moved; absent: none. */
  unwatched?: UnwatchedRuns;
  /** Length of the settled runs whose pumped volume is known. */
  measuredRun_s: number;
  /** Where readings are too far apart to follow the runs: their length as they seem, and by the share of time; time unknown. */
  blurredRun_s: number;
  /** When the latest of those runs began; NaN before any. */
  blurredFrom_s: number;
  byShareRun_s: number;
  byShare_m3: number;
  /** … the starts that were seen meanwhile, since the latest stretch and before, and those that must have been, with their uncertainty. */
  blurredStarts: number;
  seenByShare: number;
  startsByShare: number;
  uStartsByShare: number;
  /** Errors of these are taken as equal. */
  uByShare_m3: number;
  unfollowed_s: number;
  /** Of such stretches what the pump moved is not known; and length of the runs of both pumps of which it is not. Absent: none. */
  unpumped_s?: number;
  bothUnpumped_s?: number;
  /** A household's taps that were made up for between readings; absent: none. */
  taps?: TapsMadeUp;
  settledCycles: number;
  startTimes_s: number[];
  mostStartsInAnHour: number;
  /** The latest start that shows where the float closes; -Infinity before one did. */
  startedByFloat_s: number;
  /** Newest first. */
  recentCycles: Cycle[];
  readonly endedFindings: Finding[];
  findingsLeftOut: number;
  /** What the pump moves, as learned; of two, the first by itself. */
  pumpRate: FlowEstimate | null;
  /** Of two pumps: the second by itself, and both together. */
  secondRate: FlowEstimate | null;
  bothRate: FlowEstimate | null;
  /** Each of two pumps; null as long as nothing tells of a second one. */
  pumps: readonly [PumpTally, PumpTally] | null;
}

export function newTally(): TallyState {
  return {
    rows: 0,
    late: 0,
    start_s: null,
    end_s: null,
    gaps: [],
    gapsLeftOut: 0,
    starts: 0,
    run_s: 0,
    pumpSeen: false,
    signalRun_s: null,
    signalVariance_s2: 0,
    blind_s: 0,
    overRim_s: 0,
    pumped_m3: 0,
    pumpedVariance_m6: 0,
    uReturned_m3: 0,
    measuredRun_s: 0,
    blurredRun_s: 0,
    blurredFrom_s: Number.NaN,
    byShareRun_s: 0,
    byShare_m3: 0,
    blurredStarts: 0,
    seenByShare: 0,
    startsByShare: 0,
    uStartsByShare: 0,
    uByShare_m3: 0,
    unfollowed_s: 0,
    settledCycles: 0,
    startTimes_s: [],
    mostStartsInAnHour: 0,
    startedByFloat_s: Number.NEGATIVE_INFINITY,
    recentCycles: [],
    endedFindings: [],
    findingsLeftOut: 0,
    pumpRate: null,
    secondRate: null,
    bothRate: null,
    pumps: null,
  };
}

const hour_s = 3600;
/** As many as the rule that looks back furthest asks for. */
const recent = showsNone;
/** Years of a healthy basin have far fewer; what flickers on and off for years must not fill a board's memory. */
const mostKept = 5000;

/** @param blurred readings are too far apart to see each */
export function noteStart(tally: TallyState, time_s: number, { blurred = false, waited = false } = {}): void {
  tally.starts += 1;
  if (!waited) tally.startedByFloat_s = time_s;
  if (blurred) tally.blurredStarts += 1;
  tally.startTimes_s.push(time_s);
  while ((tally.startTimes_s[0] ?? Number.POSITIVE_INFINITY) <= time_s - hour_s) tally.startTimes_s.shift();
  tally.mostStartsInAnHour = Math.max(tally.mostStartsInAnHour, tally.startTimes_s.length);
}

/** Where whole runs fell between readings, more starts than were seen count once they are sure. */
export function noteReckonedHour(tally: TallyState, reckoned: ReckonedStarts | null): void {
  tally.mostStartsInAnHour = knownStarts(tally.mostStartsInAnHour, reckoned).starts;
}

/** Starts in the hour up to `time_s`; forgets none, since one that is read off the level becomes known late. */
export function startsInLastHour({ startTimes_s }: TallyState, time_s: number): number {
  return startsInHourTo(startTimes_s, time_s);
}

export function startsInHourTo(startTimes_s: readonly number[], time_s: number): number {
  let first = 0;
  while ((startTimes_s[first] ?? Number.POSITIVE_INFINITY) <= time_s - hour_s) first += 1;
  return startTimes_s.length - first;
}

export function noteCycle(tally: TallyState, cycle: Cycle, stage: CycleStage): void {
  if (stage === "stopped") {
    tally.run_s += cycle.run_s;
    tally.recentCycles.unshift(cycle);
    if (tally.recentCycles.length > recent) tally.recentCycles.pop();
    return;
  }
  tally.settledCycles += 1;
  const i = tally.recentCycles.findIndex((other) => other.startedAt_s === cycle.startedAt_s);
  if (i !== -1) tally.recentCycles[i] = cycle;
}

/** Where the latest runs stopped, as far as that is known; the newest first. */
export function recentStops_m({ recentCycles }: TallyState): number[] {
  const stops_m: number[] = [];
  for (const { stopLevel_m } of recentCycles) if (stopLevel_m !== null) stops_m.push(stopLevel_m);
  return stops_m;
}

export function noteGap(tally: TallyState, gap: Gap): void {
  tally.gaps.push(gap);
  if (tally.gaps.length <= mostKept) return;
  tally.gaps.shift();
  tally.gapsLeftOut += 1;
}

export function noteEnded(tally: TallyState, finding: Finding): void {
  tally.endedFindings.push(finding);
  if (tally.endedFindings.length <= mostKept) return;
  tally.endedFindings.shift();
  tally.findingsLeftOut += 1;
}

/**
 * The time since the reading before, if the signal said then that the pump runs.
 *
 * @param seldom by readings too far apart to time a run: it is seen for as long as lies between two of them, or not at all
 */
export function noteRunning(tally: TallyState, ran: boolean | null, interval_s: number, seldom = false): void {
  if (ran === null) return;
  if (ran && seldom) tally.signalVariance_s2 += interval_s ** 2;
  // What was read off the level before, while there was no signal or none to be believed, counts on.
  tally.signalRun_s = ranFor_s(tally) + (ran ? interval_s : 0);
}

/**
 * Time that the pump ran: by its signal, finished runs or not, else the runs read off the level, and what is reckoned where
 * that shows none of them by itself.
 */
export function ranFor_s(tally: TallyState): number {
  return tally.signalRun_s ?? followedRun_s(tally) + tally.byShareRun_s;
}

/** All starts: as seen, but more where they were reckoned and surely more took place. */
export function allStarts({ starts, seenByShare, startsByShare, uStartsByShare, taps }: TallyState): number {
  const surelyMore = startsByShare - coverageFactor * uStartsByShare > seenByShare;
  const followed = surelyMore ? starts - seenByShare + Math.round(startsByShare) : starts;
  return followed + (taps?.starts ?? 0);
}

/** Runs without a known volume count at the mean of those that have one; null when too much ran unmeasured. */
export function pumped_m3(tally: TallyState): number | null {
  const watched_m3 = pumpedWatched_m3(tally);
  return watched_m3 === null ? null : watched_m3 + (tally.unwatched?.moved_m3 ?? 0) + (tally.taps?.pumped_m3 ?? 0);
}

function pumpedWatched_m3(tally: TallyState): number | null {
  const { byShareRun_s, byShare_m3, measuredRun_s } = tally;
  const run_s = followedRun_s(tally);
  const unfinished_s = ranFor_s(tally) - byShareRun_s - run_s;
  // By the level alone nobody knows what the pump does with the water at the rim, nor where no runs can be told.
  const rim_s = tally.signalRun_s === null ? tally.overRim_s : 0;
  // How long it ran tells what it moved, but not of two pumps: what both do at once is no mean of what one does.
  const untold_s = tally.signalRun_s === null || tally.pumps !== null ? (tally.unpumped_s ?? 0) : 0;
  const unseen_s = rim_s + untold_s + (tally.bothUnpumped_s ?? 0);
  const all_s = byShareRun_s + run_s;
  const byChance_s = coverageFactor * Math.sqrt(tally.signalVariance_s2);
  if (!tally.pumpSeen || unfinished_s + unseen_s > 60 + 0.1 * all_s + byChance_s) return null;
  if (tally.starts === 0 && byShareRun_s === 0) return 0;
  // Among many that were reckoned, a few runs without a volume are as they.
  if (!(byShareRun_s + measuredRun_s > 0.5 * all_s)) return null;
  const rate_m3s = measuredRun_s > 0.5 * run_s ? tally.pumped_m3 / measuredRun_s : byShare_m3 / byShareRun_s;
  return byShare_m3 + (run_s > 0 ? rate_m3s * run_s : 0);
}

/** Standard uncertainty of `pumped_m3`, what ran back unseen left out. */
export function uPumped_m3(tally: TallyState): number {
  const uUnwatched_m3 = Math.sqrt(tally.unwatched?.movedVariance_m6 ?? 0);
  const beside_m3 = Math.hypot(tally.uByShare_m3, uUnwatched_m3, tally.taps?.uPumped_m3 ?? 0);
  if (tally.measuredRun_s === 0) return beside_m3;
  return Math.hypot(beside_m3, (Math.sqrt(tally.pumpedVariance_m6) * followedRun_s(tally)) / tally.measuredRun_s);
}

/** … and that of what ran back unseen, which is the same error in all runs and does not average away. */
export function uReturned_m3(tally: TallyState): number {
  const unwatched_m3 = tally.unwatched?.uReturned_m3 ?? 0;
  if (tally.measuredRun_s === 0) return unwatched_m3;
  return unwatched_m3 + (tally.uReturned_m3 * followedRun_s(tally)) / tally.measuredRun_s;
}

/** Of the runs that readings are close enough to follow. */
function followedRun_s({ run_s, blurredRun_s }: TallyState): number {
  return run_s - blurredRun_s;
}

export function noteTaps(tally: TallyState, more: Partial<TapsMadeUp>): void {
  const { length_s = 0, pumped_m3 = 0, uPumped_m3 = 0, starts = 0 } = tally.taps ?? {};
  tally.taps = {
    length_s: length_s + (more.length_s ?? 0),
    pumped_m3: pumped_m3 + (more.pumped_m3 ?? 0),
    uPumped_m3: uPumped_m3 + (more.uPumped_m3 ?? 0),
    starts: starts + (more.starts ?? 0),
  };
}

/** @param uLength_m3 what is unsure of the volume by how long the run was */
export function notePumped(tally: TallyState, cycle: Cycle, volume_m3: number | null, uLength_m3 = 0): void {
  if (volume_m3 === null) {
    if ((cycle.pumps?.both_s ?? 0) > 0) tally.bothUnpumped_s = (tally.bothUnpumped_s ?? 0) + cycle.run_s;
    return;
  }
  tally.pumped_m3 += volume_m3;
  const uRate_m3s = cycle.pumpRate?.uFlow_m3s ?? cycle.inflow?.uFlow_m3s ?? 0;
  tally.pumpedVariance_m6 += (uRate_m3s * cycle.run_s) ** 2 + uLength_m3 ** 2;
  tally.measuredRun_s += cycle.run_s;
  if (!(cycle.drainBack_m3 !== null && cycle.drainBack_m3 > 0)) tally.uReturned_m3 += uReturnUnseen_m3(volume_m3);
}

/**
 * A stretch that readings are too far apart to follow: what the pump moved in it by the share of time, if that is known, and
 * how often it started.
 */
export function noteByShare(
  tally: TallyState,
  length_s: number,
  pumped: PumpedByShare | null,
  starts: StartsOfStretch | null = null,
): void {
  const seen = tally.blurredStarts;
  tally.blurredStarts = 0;
  if (pumped === null) {
    tally.unfollowed_s += length_s;
    tally.unpumped_s = (tally.unpumped_s ?? 0) + length_s;
    return;
  }
  if (starts !== null) {
    tally.seenByShare += seen;
    tally.startsByShare += starts.starts;
    tally.uStartsByShare += starts.uStarts;
  }
  tally.byShareRun_s += pumped.run_s;
  tally.byShare_m3 += pumped.volume_m3;
  tally.uByShare_m3 += pumped.uVolume_m3;
}
