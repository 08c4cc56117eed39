// Whether the pump takes far longer for the same water than it did, where readings are too far apart to time its runs one by
// one: a cumulative sum over many runs of how long each was seen, against how long it should have taken.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { hasLost, type PumpComparison } from "./pump-change.ts";

interface RunsSeen {
  volume_m3: number;
  run_s: number;
  variance_s2: number;
  runs: number;
}

export interface LongerRunsState {
  /** Runs that took about as long as those before them, older ones fading. */
  usual: RunsSeen;
  /** Those since the sum left nothing: of the usual ones too, if it comes back to it. */
  since: RunsSeen;
  /** Of what runs took over so many times as long as usual, in standard uncertainties of a run. */
  sum: number;
  found: boolean;
}

export function newLongerRuns(): LongerRunsState {
  return { usual: noRuns(), since: noRuns(), sum: 0, found: false };
}

function noRuns(): RunsSeen {
  return { volume_m3: 0, run_s: 0, variance_s2: 0, runs: 0 };
}

const memory = 300;
const fewestUsual = 12;
/** Before that is known, a run of this length is no usual one: a float hung, or a storm. */
const longestUsual_s = 600;
/** What is usual must be known to this share. */
const wellKnown = 0.15;
/** A run that takes so many times as long as usual lies half-way between healthy and what is to be found. */
export const longer = 1.5;
export const fewest = 8;
/** No single run, whatever it was, counts as more than so many standard uncertainties over that. */
const mostByOne = 2.5;
/**
 * Of a sum of steps with the drift −μ and the variance 1 the excursions that reach h are a share of exp(−2 μ h) (Wald, 1947,
 * Sequential Analysis): here one in e¹⁶, nine million. Readings tell less than half an interval of a run's length at most.
 */
const rarely = 16;

/** What the pump has been found to move, and by how much water in how many runs. */
export interface MovesNow {
  readonly now: FlowEstimate;
  readonly volume_m3: number;
  readonly runs: number;
}

/**
 * Takes a run: what it lifted, and for how long the pump was seen to run.
 *
 * @param uRun_s standard uncertainty of `run_s`
 * @returns what the pump moves, where runs have just been found to take far longer, or no longer do; null else
 */
export function noteLonger(state: LongerRunsState, volume_m3: number, run_s: number, uRun_s: number): MovesNow | null {
  const { usual, since } = state;
  const u = uOf(usual);
  if (!isKnown(usual)) {
    if (run_s < longestUsual_s) join(usual, { volume_m3, run_s, variance_s2: uRun_s ** 2, runs: 1 });
    return null;
  }
  const long_s = longer * (usual.run_s / usual.volume_m3) * (1 + u) * volume_m3;
  const counted_s = Math.min(run_s, long_s + mostByOne * uRun_s);
  state.sum += (counted_s - long_s) / uRun_s;
  join(since, { volume_m3, run_s: counted_s, variance_s2: uRun_s ** 2, runs: 1 });
  if (!(state.sum > 0)) {
    const wasFound = state.found;
    if (!wasFound) join(usual, since);
    Object.assign(state, { since: noRuns(), sum: 0, found: false });
    return wasFound ? movesNow(usual) : null;
  }
  const wasFound = state.found;
  const drift = ((longer - 1) * usual.run_s) / usual.runs / uRun_s;
  const decides = rarely / (2 * drift);
  if (state.sum > decides && since.runs >= fewest) state.found = true;
  // What is known need not be known ever better: that the pump is well again must show in as many runs.
  state.sum = Math.min(state.sum, 2 * decides);
  return state.found && !wasFound ? movesNow(since) : null;
}

function movesNow(seen: RunsSeen): MovesNow {
  return { now: rateOf(seen), volume_m3: seen.volume_m3, runs: seen.runs };
}

/**
 * Many runs were seen together to take so much longer than usual, or as long as the usual ones again.
 *
 * @param before what the pump was seen to move, for where usual runs have not told it; null: it was not
 */
export function noteTogether(state: LongerRunsState, before: FlowEstimate | null, moves: MovesNow): void {
  const { now, volume_m3, runs } = moves;
  const usual = isKnown(state.usual) ? state.usual : before && runsOf(before, volume_m3, runs);
  const was = usual && rateOf(usual);
  if (was === null || !hasLost({ before: was, now, longer: null }, 1 - 1 / longer))
    Object.assign(state, newLongerRuns());
  // Surely found: the next run makes of the sum the most that it may be.
  else Object.assign(state, { usual, since: runsOf(now, volume_m3, runs), sum: Number.MAX_VALUE, found: true });
}

function runsOf({ flow_m3s, uFlow_m3s }: FlowEstimate, volume_m3: number, runs: number): RunsSeen {
  const run_s = volume_m3 / flow_m3s;
  return { volume_m3, run_s, variance_s2: ((run_s * uFlow_m3s) / flow_m3s) ** 2, runs };
}

export interface LongerRuns extends PumpComparison {
  /** By how many runs it is seen. */
  readonly runs: number;
}

/** What the pump moved and what it moves; null while runs take about as long as usual. */
export function longerRuns({ usual, since, found }: LongerRunsState): LongerRuns | null {
  return found ? { before: rateOf(usual), now: rateOf(since), longer: null, runs: since.runs } : null;
}

function isKnown(usual: RunsSeen): boolean {
  return usual.runs >= fewestUsual && uOf(usual) < wellKnown;
}

function uOf({ run_s, variance_s2 }: RunsSeen): number {
  return run_s > 0 ? Math.sqrt(variance_s2) / run_s : Number.POSITIVE_INFINITY;
}

function rateOf({ volume_m3, run_s, variance_s2, runs }: RunsSeen) {
  const flow_m3s = volume_m3 / run_s;
  return { flow_m3s, uFlow_m3s: (flow_m3s * Math.sqrt(variance_s2)) / run_s, degreesOfFreedom: Math.max(1, runs - 1) };
}

function join(into: RunsSeen, { volume_m3, run_s, variance_s2, runs }: RunsSeen): void {
  const keep = Math.min(1, Math.max(0, (memory - runs) / Math.max(1, into.runs)));
  into.volume_m3 = keep * into.volume_m3 + volume_m3;
  into.run_s = keep * into.run_s + run_s;
  into.variance_s2 = keep * keep * into.variance_s2 + variance_s2;
  into.runs = keep * into.runs + runs;
}
