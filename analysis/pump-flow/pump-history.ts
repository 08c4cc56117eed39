// What the pump moved from run to run: lately, usually, and on its best days.

import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import { type CusumState, feedCusum, newCusum } from "../statistics/cusum.ts";
import { medianInPlace } from "../statistics/median.ts";
import { type LongerRunsState, newLongerRuns } from "./longer-runs.ts";
import { addToCourse, type CourseState, courseFrom } from "./rate-course.ts";
import type { ReadAlikeState } from "./read-alike.ts";
import { usualOfRuns } from "./runs-together.ts";

export interface PumpHistoryState {
  /** Runs that readings are too far apart to time. */
  readonly longer: LongerRunsState;
  /** … and how alike they are read; absent before the first. */
  readAlike?: ReadAlikeState;
  /** Latest rates, newest last. */
  latest_m3s: number[];
  latestU_m3s: number[];
  /** Rates of runs that were like those before them: what is usual. */
  usual_m3s: number[];
  usualU_m3s: number[];
  /** Latest runs in a row that moved clearly more than what is usual. */
  greater_m3s: number[];
  greaterU_m3s: number[];
  /** Highest mean of a whole block of usual runs, the best days; null before the first block. */
  best: FlowEstimate | null;
  /** Runs since the best block ended. */
  sinceBest: number;
  /** How long the pump alone would have taken for each of the latest runs, newest last; and in the mean of the best days. */
  empties_s: number[];
  bestEmpties_s: number;
  /** How far each of those runs lowered the water; NaN where no level shows it. */
  drawn_m: number[];
  readEvery_s: number;
  /** The same two of the runs whose rates are the usual ones; absent before the first. */
  usualEmpties_s?: number[];
  usualDrawn_m?: number[];
  /** The newest time is of a run whose rate has not been noted yet; absent: it is of one before. */
  timed?: true;
  /** Of ln(rate / best), in standard deviations of one run. */
  cusum: CusumState;
  /** ln(rate) since the best days began. */
  course: CourseState;
  /** Level at which rates are compared; NaN before the first. */
  level_m: number;
  /** Of the latest runs, which moved little at first; newest last. */
  lateStarts: boolean[];
  /** The shortest of those; Infinity before any. */
  lateRun_s: number;
  /** Runs in a row that moved water at once, until there have been enough: a slow sensor makes all of them look late. */
  timelyStarts: number;
  /** Rates known too badly to stand alone, until several together do: sums of 1/rate and of the shares that are unsure. */
  rough: { inverse_sm3: number; unsure: number; runs: number };
}

export function newPumpHistory(): PumpHistoryState {
  return {
    longer: newLongerRuns(),
    latest_m3s: [],
    latestU_m3s: [],
    usual_m3s: [],
    usualU_m3s: [],
    greater_m3s: [],
    greaterU_m3s: [],
    best: null,
    sinceBest: 0,
    empties_s: [],
    bestEmpties_s: Number.NaN,
    drawn_m: [],
    readEvery_s: 0,
    cusum: newCusum(),
    course: courseFrom([]),
    level_m: Number.NaN,
    lateStarts: [],
    lateRun_s: Number.POSITIVE_INFINITY,
    timelyStarts: 0,
    rough: noneRough(),
  };
}

export const latestRuns = 3;
/** Of runs that hold few readings each, so many tell what three do not. */
export const lastingRuns = 8;
export const usualRuns = 30;
export const fewestUsual = 8;
/** A run that moves this much more or less than what is usual is not usual itself. */
const likeness = 0.15;
const unlikeness = 0.25;
/** Rates known no better than this are taken together until they are known to the next; others tell nothing. */
export const precise = 0.06;
const preciseTogether = 0.1;
const usable = 0.35;
/** Half the smallest loss that counts, and the least scatter of a run: what the sum lets pass, and when it tells. */
export const allowance = 0.04;
const leastScatter = 0.015;
export const decisionInterval = 8;
export const remembersStarts = 5;
export const lateFrom_s = 4;
const farLess = 0.67;

/** What is known of a run beside its rate. */
export interface RunSeen {
  /** Mean level, and how much more flow a metre more of level gives: less lift, more flow. */
  readonly level_m: number | null;
  readonly slope_m2s: number;
  /** How long the run moved little before it came up; null where that cannot be told. */
  readonly lateStart_s: number | null;
  readonly run_s?: number;
}

const bare: RunSeen = { level_m: null, slope_m2s: 0, lateStart_s: null };

export function noteRate(history: PumpHistoryState, measured: FlowEstimate, seen: RunSeen = bare): void {
  noteStart(history, seen.lateStart_s, seen.run_s);
  const { timed } = history;
  delete history.timed;
  const one = atOneLevel(history, measured, seen);
  const rate = one.uFlow_m3s < precise * one.flow_m3s ? one : together(history, one);
  if (rate === null) return;
  keep(history.latest_m3s, rate.flow_m3s, lastingRuns);
  keep(history.latestU_m3s, rate.uFlow_m3s, lastingRuns);
  if (history.usual_m3s.length >= fewestUsual && !isUsual(history, rate)) return;
  keep(history.usual_m3s, rate.flow_m3s, usualRuns);
  keep(history.usualU_m3s, rate.uFlow_m3s, usualRuns);
  if (timed) keepUsualTime(history);
  history.sinceBest += 1;
  addToCourse(history.course, Math.log(rate.flow_m3s));
  sumUp(history, rate);
  if (history.usual_m3s.length < usualRuns) return;
  const block = usualOfRuns(history.usual_m3s, history.usualU_m3s);
  if (history.best === null || block.flow_m3s > history.best.flow_m3s) beginAnew(history, block);
}

/**
 * How a run began, whatever is known of its rate. One that took far less time than those that began late did not.
 *
 * @param lateStart_s null where levels are too few, or too much comes in, to tell
 */
export function noteStart(history: PumpHistoryState, lateStart_s: number | null, run_s = Number.NaN): void {
  const late = lateStart_s !== null && lateStart_s >= lateFrom_s;
  if (late && run_s > 0) history.lateRun_s = Math.min(history.lateRun_s, run_s);
  const atOnce = Number.isFinite(history.lateRun_s) && run_s < farLess * history.lateRun_s;
  if (lateStart_s === null && !atOnce) return;
  keep(history.lateStarts, late, remembersStarts);
  if (!history.lateStarts.includes(true)) history.lateRun_s = Number.POSITIVE_INFINITY;
  if (history.timelyStarts < fewestUsual) history.timelyStarts = late ? 0 : history.timelyStarts + 1;
}

/**
 * The time of a run, whatever is known of its rate: what comes in meanwhile makes it longer, and is left out.
 *
 * @param readEvery_s how far apart readings come: so much longer a few runs may seem by chance
 */
export function noteRunTime(history: PumpHistoryState, cycle: Cycle, readEvery_s: number): void {
  history.readEvery_s = readEvery_s;
  const { run_s, rest_s, startLevel_m, stopLevel_m } = cycle;
  if (rest_s === null) return;
  history.timed = true;
  keep(history.empties_s, emptiesIn_s(run_s, rest_s), usualRuns + lastingRuns);
  const isKnown = startLevel_m !== null && stopLevel_m !== null && startLevel_m > stopLevel_m;
  keep(history.drawn_m, isKnown ? startLevel_m - stopLevel_m : Number.NaN, usualRuns + lastingRuns);
}

/** Of a run that was like those before it: others say of no time that it is usual, however many they are in a storm. */
function keepUsualTime(history: PumpHistoryState): void {
  const [time_s, drawn_m] = [history.empties_s.at(-1), history.drawn_m.at(-1)];
  if (time_s === undefined || drawn_m === undefined) return;
  history.usualEmpties_s ??= [];
  history.usualDrawn_m ??= [];
  keep(history.usualEmpties_s, time_s, usualRuns);
  keep(history.usualDrawn_m, drawn_m, usualRuns);
}

export function emptiesIn_s(run_s: number, rest_s: number): number {
  return (run_s * rest_s) / (run_s + rest_s);
}

export function meanTime_s(times_s: readonly number[]): number {
  return times_s.reduce((sum, time_s) => sum + time_s, 0) / times_s.length;
}

/** In the mean of a block of usual runs, or of as many as there are; NaN while they are too few. */
export function latelyEmptiesIn_s({ empties_s }: PumpHistoryState): number {
  return empties_s.length < fewestUsual ? Number.NaN : meanTime_s(empties_s.slice(-usualRuns - latestRuns));
}

/** A storm's long runs work at higher levels, against less lift: they are compared at the level of the first run. */
function atOneLevel(history: PumpHistoryState, rate: FlowEstimate, { level_m, slope_m2s }: RunSeen): FlowEstimate {
  if (level_m === null || !Number.isFinite(level_m)) return rate;
  if (Number.isNaN(history.level_m)) history.level_m = level_m;
  return { ...rate, flow_m3s: rate.flow_m3s - slope_m2s * (level_m - history.level_m) };
}

/**
 * Runs of a few readings each differ by whole readings: their lengths average out, so that the mean of 1/rate is the one
 * that is true.
 */
function together(history: PumpHistoryState, { flow_m3s, uFlow_m3s }: FlowEstimate): FlowEstimate | null {
  const { rough } = history;
  if (!(uFlow_m3s < usable * flow_m3s)) return null;
  rough.inverse_sm3 += 1 / flow_m3s;
  rough.unsure += uFlow_m3s / flow_m3s;
  rough.runs += 1;
  const share = rough.unsure / rough.runs ** 1.5;
  if (share > preciseTogether) return null;
  const mean_m3s = rough.runs / rough.inverse_sm3;
  const degreesOfFreedom = rough.runs;
  history.rough = noneRough();
  return { flow_m3s: mean_m3s, uFlow_m3s: share * mean_m3s, degreesOfFreedom };
}

function noneRough(): PumpHistoryState["rough"] {
  return { inverse_sm3: 0, unsure: 0, runs: 0 };
}

/** Like what is usual; or, with the seven before it, the beginning of better days: a new pump, a discharge set free. */
function isUsual(history: PumpHistoryState, rate: FlowEstimate): boolean {
  const usual_m3s = medianInPlace(history.usual_m3s);
  const beyond_m3s = rate.flow_m3s - usual_m3s;
  const greater = beyond_m3s > Math.max(likeness * usual_m3s, 3 * rate.uFlow_m3s);
  if (!greater) {
    history.greater_m3s = [];
    history.greaterU_m3s = [];
    return -beyond_m3s <= Math.max(unlikeness * usual_m3s, 3 * rate.uFlow_m3s);
  }
  history.greater_m3s.push(rate.flow_m3s);
  history.greaterU_m3s.push(rate.uFlow_m3s);
  if (history.greater_m3s.length < fewestUsual) return false;
  // All but this one, which is taken in next.
  history.usual_m3s = history.greater_m3s.slice(0, -1);
  history.usualU_m3s = history.greaterU_m3s.slice(0, -1);
  history.usualEmpties_s = history.empties_s.slice(-fewestUsual, -1);
  history.usualDrawn_m = history.drawn_m.slice(-fewestUsual, -1);
  history.greater_m3s = [];
  history.greaterU_m3s = [];
  return true;
}

function sumUp({ best, cusum }: PumpHistoryState, rate: FlowEstimate): void {
  if (best === null) return;
  const spread = (best.uFlow_m3s * Math.sqrt(usualRuns)) / 1.2533 / best.flow_m3s;
  const sd = Math.max(spread, rate.uFlow_m3s / rate.flow_m3s, leastScatter);
  const z = Math.log(rate.flow_m3s / best.flow_m3s) / sd;
  feedCusum(cusum, z, { k: allowance / sd, h: decisionInterval });
  // What is known need not be known ever better: a recovery must show within some ten runs.
  cusum.down = Math.min(cusum.down, 2 * decisionInterval);
}

function beginAnew(history: PumpHistoryState, best: FlowEstimate): void {
  history.best = best;
  history.sinceBest = 0;
  history.bestEmpties_s = latelyEmptiesIn_s(history);
  history.cusum = newCusum();
  history.course = courseFrom(history.usual_m3s.map(Math.log));
}

function keep<T>(values: T[], value: T, most: number): void {
  values.push(value);
  if (values.length > most) values.shift();
}
