// What a pump's latest runs say together of the flow that it moves.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { medianInPlace } from "../statistics/median.ts";
import { robustMean } from "../statistics/robust-mean.ts";
import { workplace } from "../statistics/workplace.ts";

/** Of a run's own uncertainty this share is alike in all of them: how their readings fall, how their ends are taken. */
const common = 0.3;

/** Their robust mean: a rate far off counts less. */
export function meanOfRuns(rates: readonly number[], us: readonly number[]): FlowEstimate {
  const { mean, uMean } = robustMean(rates, us);
  return { flow_m3s: mean, uFlow_m3s: uMean, degreesOfFreedom: rates.length - 1 };
}

/**
 * Their mean by the time that each took for a volume. Readings time a run too long as often as too short, so that the times
 * average out; the rates, one over them, do not: a run that looks short would look quick and, the less sure for it, count for
 * little.
 */
export function meanByTime(rates: readonly number[], us: readonly number[]): FlowEstimate {
  const { mean, uMean } = robustMean(
    rates.map((rate) => 1 / rate),
    us.map((u, i) => u / (rates[i] as number) ** 2),
  );
  return { flow_m3s: 1 / mean, uFlow_m3s: uMean / mean ** 2, degreesOfFreedom: rates.length - 1 };
}

const offIn = workplace();

/** Median, with the standard uncertainty of a median of runs that scatter by their own and by one another's measure. */
export function medianOfRuns(rates_m3s: readonly number[], u_m3s: readonly number[]): FlowEstimate {
  const n = rates_m3s.length;
  const flow_m3s = medianInPlace(rates_m3s);
  const off_m3s = offIn(n);
  for (let i = 0; i < n; i += 1) off_m3s[i] = Math.abs((rates_m3s[i] as number) - flow_m3s);
  const spread_m3s = 1.4826 * medianInPlace(off_m3s, n);
  const u = medianInPlace(u_m3s);
  const random_m3s = (1.2533 * Math.max(spread_m3s, u)) / Math.sqrt(n);
  return {
    flow_m3s,
    uFlow_m3s: Math.hypot(random_m3s, common * u),
    degreesOfFreedom: n - 1,
  };
}

/**
 * What many runs usually move: their robust mean, by the uncertainty of a median. Timed in whole seconds, one second more or
 * less is a twentieth of a run: a median leaps from one to the next.
 */
export function usualOfRuns(rates_m3s: readonly number[], u_m3s: readonly number[]): FlowEstimate {
  return { ...medianOfRuns(rates_m3s, u_m3s), flow_m3s: robustMean(rates_m3s, u_m3s).mean };
}
