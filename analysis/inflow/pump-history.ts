// What the pump moved from run to run: against its own recent past for a sudden loss, against its best days for wear.

import type { FlowEstimate } from "../cycles/cycle.ts";

export interface PumpHistoryState {
  /** Latest rates, newest last. */
  latest_m3s: number[];
  latestU_m3s: number[];
  /** Rates of runs that were like those before them: what is usual. */
  usual_m3s: number[];
  usualU_m3s: number[];
  /** Highest mean of a whole block of usual runs, the best days; null before the first block. */
  best: FlowEstimate | null;
  /** Runs since the best block ended. */
  sinceBest: number;
}

export function newPumpHistory(): PumpHistoryState {
  return { latest_m3s: [], latestU_m3s: [], usual_m3s: [], usualU_m3s: [], best: null, sinceBest: 0 };
}

const latestRuns = 3;
const usualRuns = 30;
const fewestUsual = 8;
/** A run within this of what is usual is usual itself. */
const likeness = 0.15;

export interface PumpComparison {
  readonly before: FlowEstimate;
  readonly now: FlowEstimate;
}

/** Rates known no better than this tell nothing of the pump's health. */
const precise = 0.06;

export function noteRate(history: PumpHistoryState, rate: FlowEstimate): void {
  if (!(rate.uFlow_m3s < precise * rate.flow_m3s)) return;
  keep(history.latest_m3s, rate.flow_m3s, latestRuns);
  keep(history.latestU_m3s, rate.uFlow_m3s, latestRuns);
  const usual_m3s = median(history.usual_m3s);
  const like = Math.abs(rate.flow_m3s - usual_m3s) <= Math.max(likeness * usual_m3s, 3 * rate.uFlow_m3s);
  if (history.usual_m3s.length >= fewestUsual && !like) return;
  keep(history.usual_m3s, rate.flow_m3s, usualRuns);
  keep(history.usualU_m3s, rate.uFlow_m3s, usualRuns);
  history.sinceBest += 1;
  if (history.usual_m3s.length < usualRuns) return;
  const block = estimate(history.usual_m3s, history.usualU_m3s);
  if (history.best === null || block.flow_m3s > history.best.flow_m3s) {
    history.best = block;
    history.sinceBest = 0;
  }
}

/** The best of the last three runs against what was usual before them; null before enough runs. */
export function suddenChange(history: PumpHistoryState): PumpComparison | null {
  if (history.usual_m3s.length < fewestUsual || history.latest_m3s.length < latestRuns) return null;
  return {
    before: estimate(history.usual_m3s, history.usualU_m3s),
    now: bestOf(history.latest_m3s, history.latestU_m3s),
  };
}

/** The usual of now against the best days; null before a block of runs stands between them. */
export function slowChange(history: PumpHistoryState): PumpComparison | null {
  if (history.best === null || history.sinceBest < usualRuns) return null;
  return { before: history.best, now: estimate(history.usual_m3s, history.usualU_m3s) };
}

/** Whether the loss is more than `share` and clear of both uncertainties. */
export function hasLost({ before, now }: PumpComparison, share: number): boolean {
  const loss_m3s = before.flow_m3s - now.flow_m3s;
  return loss_m3s > share * before.flow_m3s && loss_m3s > 4 * Math.hypot(before.uFlow_m3s, now.uFlow_m3s);
}

function bestOf(rates_m3s: readonly number[], u_m3s: readonly number[]): FlowEstimate {
  const flow_m3s = Math.max(...rates_m3s);
  return { flow_m3s, uFlow_m3s: u_m3s[rates_m3s.indexOf(flow_m3s)] ?? Number.NaN, degreesOfFreedom: 1 };
}

/** Whether a loss that was clear once is still more than `share`. */
export function stillLost({ before, now }: PumpComparison, share: number): boolean {
  return before.flow_m3s - now.flow_m3s > share * before.flow_m3s;
}

/** Median, with the standard uncertainty of a median of runs that scatter by their own and by one another's measure. */
function estimate(rates_m3s: readonly number[], u_m3s: readonly number[]): FlowEstimate {
  const flow_m3s = median(rates_m3s);
  const spread_m3s = 1.4826 * median(rates_m3s.map((rate) => Math.abs(rate - flow_m3s)));
  return {
    flow_m3s,
    uFlow_m3s: (1.2533 * Math.max(spread_m3s, median(u_m3s))) / Math.sqrt(rates_m3s.length),
    degreesOfFreedom: rates_m3s.length - 1,
  };
}

function keep(values: number[], value: number, most: number): void {
  values.push(value);
  if (values.length > most) values.shift();
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? Number.NaN;
}
