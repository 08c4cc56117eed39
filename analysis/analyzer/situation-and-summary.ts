// What the state of the analysis says when it is asked: the situation of the moment, and the report so far.

import type { Situation } from "../analyzer-contract.ts";
import type { AnalyzerState } from "../analyzer-state.ts";
import type { FlowEstimate } from "../cycles/cycle.ts";
import { ceasingFindings, openFindings } from "../findings/finding-book.ts";
import { knownStarts, reckonedStarts } from "../inflow/seldom-readings/reckoned-starts.ts";
import { presentLevel_m } from "../readings/level-problem.ts";
import { levelTrend_ms } from "../readings/trend.ts";
import { floatTripsReport } from "../report/float-trips-report.ts";
import { pumpCurveReport } from "../report/pump-curve-report.ts";
import { rateOfSet } from "../report/pump-tally.ts";
import type { ReportSummary } from "../report/report.ts";
import { summarize } from "../report/summarize.ts";
import { startsInLastHour } from "../report/tally.ts";
import type { Site } from "../site.ts";
import type { SharedErrors } from "../uncertainty/shared-errors.ts";
import { orNull } from "../uncertainty/stated-errors.ts";

/** @param inRun inflow by a long run under way; null without one */
export function situationOf(
  state: AnalyzerState,
  inRun: FlowEstimate | null,
  ofOne: SharedErrors,
  ofMany: SharedErrors,
): Situation {
  const ceasing = ceasingFindings(state.book);
  const level_m = state.hasLevel ? presentLevel_m(state.screen, state.tally.end_s ?? 0) : null;
  return {
    time_s: state.tally.end_s,
    level_m,
    pumpRunning: state.pumpRunning,
    ...(state.tracker.pumps.origin !== null && {
      pumpsRunning: [state.runSignal.on, state.tracker.pumps.secondOn] as const,
    }),
    pumpSince_s: state.pumpSince_s,
    floatOn: state.floatOn,
    highFloat: state.highFloat,
    mainsOn: state.mainsOn,
    inflow: orNull(inRun ?? state.tracker.lastInflow, ofOne),
    pumpRate: orNull(rateOfSet(state.tally, state.tracker.pumps.set) ?? state.tracker.lastRate, ofMany),
    levelRate_ms: level_m === null ? null : levelTrend_ms(state.trend),
    startsInLastHour: knownStarts(
      startsInLastHour(state.tally, state.tally.end_s ?? 0),
      reckonedStarts(state.share.reckoned, state.tally.startTimes_s, state.tally.end_s ?? 0),
    ).starts,
    openFindings: openFindings(state.book),
    ...(ceasing.length > 0 && { ceasing }),
  };
}

export function summaryOf(site: Site, state: AnalyzerState, shared: SharedErrors): ReportSummary {
  const { capability, history } = state.tracker;
  const pump = pumpCurveReport(site, capability, history, shared);
  const summary = summarize(site, state.tally, state.peaks, openFindings(state.book), shared, state.flatOut.least_m3s);
  const floats = floatTripsReport(site, state.tracker.trips);
  return { ...summary, ...(pump !== null && { pump }), ...(floats !== null && { floats }) };
}
