// What came in, logged or by hand, and the flow that must be reckoned with: peak with its allowance, or the design storm.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { basinGeometry } from "../geometry/basin.ts";
import type { PeakWindow, ReportFlow, ReportSummary } from "../report/report.ts";
import type { Site } from "../site.ts";
import { normalQuantile } from "../statistics/normal-quantile.ts";
import type { SizingMeasured, SizingRequired } from "./answer/demand.ts";
import {
  type HandTestResult,
  type HandTestSetting,
  handTest,
  usuallyWanted,
  usualRuler_m,
  usualWatch_s,
} from "./hand-test.ts";
import { handTestAnswer } from "./hand-test-answer.ts";
import type { HandTestGiven, LoggedRecord, SizingRequest } from "./request.ts";
import { greater, requiredOf } from "./required-flow.ts";
import type { StormDemand } from "./storm-demand.ts";
import { atLeast, m3s, sizingFlow } from "./to-answer.ts";

export interface Demand {
  readonly measured: SizingMeasured | null;
  readonly required: SizingRequired | null;
  /** SI, with standard uncertainties. Peak: the highest mean over ten minutes, or what the hand test showed. */
  readonly peak: FlowEstimate | null;
  /** More came in than that, or may have; and nothing shows how much at most. */
  readonly peakIsLeast: boolean;
  readonly peakIsOpen: boolean;
  readonly mean: FlowEstimate | null;
  /** Between storms; null where nothing parts them. */
  readonly dry: FlowEstimate | null;
  readonly requiredFlow: FlowEstimate | null;
  /** Upper end of its 95 % interval. */
  readonly highestRequired_m3s: number | null;
}

/** @param storm what the design storm brings; null: none is given, or nothing could be fitted to it */
export function demandOf(request: SizingRequest, storm: StormDemand | null): Demand {
  const { site, logged, hand } = request;
  const setting = hand === null ? null : settingOf(site, hand);
  const tested = hand === null || setting === null ? null : handTest(hand.rises, setting);
  const tenMinutes = logged === null ? null : loggedPeak(logged.summary);
  const peak = greater(tenMinutes, tested?.inflow ?? null);
  const mean = logged === null ? null : meanOf(logged.summary);
  const byHand = tested !== null && peak === tested.inflow;
  const { at_least, at_most_lpm = null } = logged?.summary.inflow.peak["600"] ?? {};
  const peakIsLeast = at_least === true;
  const most_m3s = at_most_lpm === null ? 0 : m3s(at_most_lpm);
  const answered = tested && setting ? handTestAnswer(tested, setting, site) : null;
  return {
    measured: measuredOf(logged, tested, answered),
    peak,
    peakIsLeast,
    peakIsOpen: peakIsLeast && at_most_lpm === null,
    mean,
    dry: storm?.dry ?? null,
    ...requiredOf(site, peak, byHand ? null : 600, { isLeast: peakIsLeast, most_m3s }, storm),
  };
}

/** The report reckons with no peak where the worst may have come unseen. */
function loggedPeak({ sizing, inflow }: ReportSummary): FlowEstimate | null {
  return sizing.required_lpm === null ? null : estimate(inflow.peak["600"]);
}

function measuredOf(
  logged: LoggedRecord | null,
  tested: HandTestResult | null,
  hand: SizingMeasured["hand"],
): SizingMeasured | null {
  if (logged !== null) return { ...ofRecord(logged), hand };
  if (tested === null) return null;
  const flow = { ...sizingFlow(tested.inflow), at: null };
  return {
    by: "hand",
    from: null,
    to: null,
    days: null,
    mean: null,
    peak: { "60": null, "600": flow, "3600": null },
    starts: null,
    most_starts_in_an_hour: null,
    run_s: null,
    pumped_l: null,
    inflow_per_level: null,
    hand,
  };
}

function ofRecord({ summary, inflowPerLevel }: LoggedRecord): Omit<SizingMeasured, "hand"> {
  const { span, inflow, totals } = summary;
  const peak = (window: PeakWindow) => inflow.peak[window];
  return {
    by: "logged",
    from: span.start,
    to: span.end,
    days: observed_s(summary) / 86_400,
    mean:
      inflow.mean_lpm === null
        ? null
        : { lpm: inflow.mean_lpm, u95_lpm: inflow.mean_u95_lpm, ...atLeast(inflow.mean_at_least === true) },
    peak: { "60": peak("60"), "600": peak("600"), "3600": peak("3600") },
    starts: totals.starts,
    most_starts_in_an_hour: totals.most_starts_in_an_hour,
    ...(totals.unwatched_runs !== undefined && { unwatched_runs: totals.unwatched_runs }),
    run_s: totals.run_s,
    pumped_l: totals.pumped_l,
    inflow_per_level:
      inflowPerLevel === null
        ? null
        : { per_m: inflowPerLevel.share_1m, u95_per_m: normalQuantile(0.975) * inflowPerLevel.uShare_1m },
  };
}

/** Gaps left out. */
export function observed_s({ span }: ReportSummary): number {
  if (span.start === null || span.end === null) return 0;
  const length_s = (Date.parse(span.end) - Date.parse(span.start)) / 1000;
  return span.gaps.reduce((left, gap) => left - (Date.parse(gap.to) - Date.parse(gap.from)) / 1000, length_s);
}

function settingOf({ basin, measurement }: Site, hand: HandTestGiven): HandTestSetting {
  const room = basin.inletLevel_m ?? basin.highLevel_m ?? basin.overflowLevel_m ?? basin.depth_m ?? null;
  return {
    geometry: basinGeometry(basin.geometry),
    uGeometry: measurement?.uGeometry ?? 0,
    stopLevel_m: basin.stopLevel_m,
    uRuler_m: hand.uRuler_m ?? usualRuler_m,
    uWatch_s: hand.uWatch_s ?? usualWatch_s,
    wanted: hand.wanted ?? usuallyWanted,
    room_m: room === null ? null : room - (basin.stopLevel_m ?? 0),
  };
}

function meanOf({ inflow }: ReportSummary): FlowEstimate | null {
  const { mean_lpm, mean_u95_lpm } = inflow;
  return mean_lpm === null ? null : estimate({ lpm: mean_lpm, u95_lpm: mean_u95_lpm ?? 0 });
}

/** A figure of the report, back in SI. */
export function estimate(flow: ReportFlow | null): FlowEstimate | null {
  if (flow === null) return null;
  return {
    flow_m3s: m3s(flow.lpm),
    uFlow_m3s: m3s(flow.u95_lpm) / normalQuantile(0.975),
    degreesOfFreedom: Number.POSITIVE_INFINITY,
  };
}
