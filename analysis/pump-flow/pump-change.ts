// What the pump moves now against what it moved: against its own recent past for a sudden loss, against its best days for
// one that came over many cycles, and in the latter whether it came at once or by and by.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { medianOfPart } from "../statistics/median.ts";
import { stepOrRamp } from "../statistics/step-or-ramp.ts";
import {
  decisionInterval,
  fewestUsual,
  lastingRuns,
  latelyEmptiesIn_s,
  latestRuns,
  meanTime_s,
  type PumpHistoryState,
  usualRuns,
} from "./pump-history.ts";
import { medianOfRuns, usualOfRuns } from "./runs-together.ts";

/** A loss that is found must be this many standard uncertainties wide. */
export const clear = 4;
/** Of the time that a loss of flow should add to a run, so much must show. */
export const ofTheTime = 0.5;
/** Runs may seem longer by this share of the time between readings. */
const byChance = 0.8;
/** Of the latest runs, those that moved little at first. */
export const severalLate = 2;
/** Nothing at all, which no run is long enough for, counts as so much. */
const leastShare = 0.05;
/** A loss of this share is worth the look at its course. */
const worthALook = 0.05;

export interface PumpComparison {
  readonly before: FlowEstimate;
  readonly now: FlowEstimate;
  /** How many times longer the runs take, what comes in meanwhile left out; null before that is known. */
  readonly longer: number | null;
}

export interface SuddenChange extends PumpComparison {
  /** Of the latest runs, (highest − lowest) / highest. */
  readonly spread: number;
}

export interface SlowChange extends PumpComparison {
  /** Runs since the rates began to lie below the best days; 0 while that is within their scatter. */
  readonly overRuns: number;
  /** Null where no loss is worth the look. */
  readonly course: "sudden" | "slow" | null;
}

/** What is usual now; to be handed on to those that compare with it when more than one of them is asked. */
export function usualRate(history: PumpHistoryState): FlowEstimate {
  return usualOfRuns(history.usual_m3s, history.usualU_m3s);
}

/** The best of the last three runs against what was usual before them; null before enough runs. */
export function suddenChange(history: PumpHistoryState, usual = usualRate(history)): SuddenChange | null {
  if (history.usual_m3s.length < fewestUsual || history.latest_m3s.length < latestRuns) return null;
  const latest_m3s = history.latest_m3s.slice(-latestRuns);
  const now = bestOf(latest_m3s, history.latestU_m3s.slice(-latestRuns));
  return {
    before: usual,
    now,
    longer: longerLately(history, latestRuns),
    spread: (now.flow_m3s - Math.min(...latest_m3s)) / now.flow_m3s,
  };
}

/** The middle of the last eight runs against what was usual before them; null before enough runs. */
export function lastingChange(history: PumpHistoryState, usual = usualRate(history)): SuddenChange | null {
  if (history.usual_m3s.length < fewestUsual || history.latest_m3s.length < lastingRuns) return null;
  const now = medianOfRuns(history.latest_m3s, history.latestU_m3s);
  return {
    before: usual,
    now,
    longer: longerLately(history, lastingRuns),
    spread: (Math.max(...history.latest_m3s) - Math.min(...history.latest_m3s)) / now.flow_m3s,
  };
}

/** The usual of now against the best days; null before a block of runs stands between them. */
export function slowChange(history: PumpHistoryState, usual = usualRate(history)): SlowChange | null {
  const { best, cusum, course } = history;
  if (best === null || history.sinceBest < usualRuns) return null;
  const change = {
    before: best,
    now: usual,
    longer: longerSinceBest(history),
  };
  const found = stillLost(change, worthALook) ? stepOrRamp(course.values) : null;
  return {
    ...change,
    overRuns: cusum.down > decisionInterval ? cusum.downFor : 0,
    course: found === null ? null : found.course === "step" ? "sudden" : "slow",
  };
}

/** Several of the latest runs moved little at first and came up by themselves, of a pump that was seen to start at once. */
export function startsLate(history: PumpHistoryState): boolean {
  return history.timelyStarts >= fewestUsual && severalAreLate(history);
}

/** So many times longer than before runs take that wait for the pump to come up; common practice, no source. */
export const farLonger = 1.5;

/**
 * Runs that hold few levels do not show that a pump starts at once. That it used to shows where several begin late and take
 * far longer for it: a slow sensor makes all of them look late, and none longer.
 */
export function noteComingUp(history: PumpHistoryState): void {
  if (history.timelyStarts >= fewestUsual || !severalAreLate(history)) return;
  if ((longerLately(history, latestRuns) ?? 0) >= farLonger) history.timelyStarts = fewestUsual;
}

export function severalAreLate({ lateStarts }: PumpHistoryState): boolean {
  return lateStarts.filter((late) => late).length >= severalLate;
}

/** Whether the loss is more than `share`, clear of both uncertainties and borne out by the time that runs take. */
export function hasLost(change: PumpComparison, share: number): boolean {
  const { before, now, longer } = change;
  const loss_m3s = before.flow_m3s - now.flow_m3s;
  const isClear = loss_m3s > share * before.flow_m3s && loss_m3s > clear * Math.hypot(before.uFlow_m3s, now.uFlow_m3s);
  return isClear && bearsOut(longer, now.flow_m3s / before.flow_m3s);
}

/** Whether a loss that was clear once is still more than `share`. */
export function stillLost({ before, now }: PumpComparison, share: number): boolean {
  return before.flow_m3s - now.flow_m3s > share * before.flow_m3s;
}

/**
 * A pump that moves less takes longer for the same water. A rate read wrongly off a few levels does not.
 *
 * @param longer how many times longer runs take
 * @param share  what is left of the flow
 */
export function bearsOut(longer: number | null, share: number): boolean {
  return longer === null || longer >= 1 + ofTheTime * (1 / Math.max(share, leastShare) - 1);
}

/** Against the runs whose rates are the usual ones; where too few of those show, against all before the latest. */
function longerLately(history: PumpHistoryState, runs: number): number | null {
  const { empties_s, drawn_m, readEvery_s, usualEmpties_s = [], usualDrawn_m = [] } = history;
  const knowsUsual = usualEmpties_s.length >= fewestUsual;
  const before_s = knowsUsual ? usualEmpties_s : empties_s.slice(0, -runs);
  const before_m = knowsUsual ? usualDrawn_m : drawn_m.slice(0, -runs);
  if (empties_s.length < runs || before_s.length < fewestUsual) return null;
  // One run may have been read wrongly, or drawn out by a hand on the float.
  const chance_s = byChance * readEvery_s * Math.sqrt(latestRuns / runs);
  const longer = (medianOfLast(empties_s, runs) - chance_s) / meanTime_s(before_s);
  return longer / moreDrawn(medianOfLast(drawn_m, runs), before_m);
}

/** A float that starts the pump higher gives it more to lift; 1 where no level shows that. */
function moreDrawn(latest_m: number, usual_m: readonly number[]): number {
  const share = latest_m / medianOfPart(usual_m, 0, usual_m.length);
  return Number.isNaN(share) ? 1 : Math.max(1, share);
}

function medianOfLast(values: readonly number[], count: number): number {
  return medianOfPart(values, values.length - count, values.length);
}

function longerSinceBest(history: PumpHistoryState): number | null {
  const longer = latelyEmptiesIn_s(history) / history.bestEmpties_s;
  return Number.isNaN(longer) ? null : longer;
}

function bestOf(rates_m3s: readonly number[], u_m3s: readonly number[]): FlowEstimate {
  const flow_m3s = Math.max(...rates_m3s);
  return { flow_m3s, uFlow_m3s: u_m3s[rates_m3s.indexOf(flow_m3s)] ?? Number.NaN, degreesOfFreedom: 1 };
}
