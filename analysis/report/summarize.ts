// From what was counted to the report's figures, in the units of the contract.

import type { Cycle, FlowEstimate, RunningLoad } from "../cycles/cycle.ts";
import type { Finding } from "../findings/finding.ts";
import { isLeastPeak, type PeaksState, peakOver, windows_s } from "../inflow/over-time/rolling-peaks.ts";
import type { Site } from "../site.ts";
import { sizeUp } from "../sizing/size.ts";
import { studentTQuantile } from "../statistics/student-t.ts";
import { noSharedErrors, type SharedErrors, withShared } from "../uncertainty/shared-errors.ts";
import { overAll } from "./over-all.ts";
import { pumpRows } from "./pump-rows.ts";
import { firmRate } from "./pump-tally.ts";
import {
  type ReportCycle,
  type ReportFinding,
  type ReportFlow,
  type ReportShares,
  type ReportSizing,
  type ReportSummary,
  reportSchema,
} from "./report.ts";
import { allStarts, ranFor_s, type TallyState } from "./tally.ts";

const m3sToLpm = 60_000;

/** @param leastPeak600_m3s what came in over ten minutes at the least, by a pump that ran flat out; null: not known */
export function summarize(
  site: Site,
  tally: TallyState,
  peaks: PeaksState,
  openFindings: readonly Finding[],
  shared: SharedErrors = noSharedErrors,
  leastPeak600_m3s: number | null = null,
): ReportSummary {
  const tenMinutes = peakOver(peaks, 1);
  const figures = overAll(tally, peaks, shared);
  const mean = figures.mean && reportFlow(figures.mean);
  const blind = tally.blind_s > tooLongBlind_s;
  const surely_s = Math.min(surelyUnfollowed_s, surelyUnfollowed * peaks.totalTime_s);
  const unfollowed = tally.unfollowed_s > surely_s;
  const isLeast = blind || tally.overRim_s > surelyOverRim_s || unfollowed;
  // Where taps are told between readings others went by unseen: what they bring of an hour or more. A tap's own peak is marked as such.
  const tapped = (tally.taps?.length_s ?? 0) > surely_s;
  const meanIsLeast = isLeast || tapped;
  const isOpen = (window: number) => (window === hour ? meanIsLeast : isLeast) || isLeastPeak(peaks, window);
  const boundsOf = (window: number) => {
    const most_m3s = upperEnd_m3s(figures.mostOfPeaks[window] ?? null);
    if (isOpen(window) || most_m3s === null) return isOpen(window) ? { at_least: true as const } : {};
    return { at_least: true as const, at_most_lpm: rounded(most_m3s * m3sToLpm) };
  };
  const peak = (window: number) => {
    const [found, at] = [figures.peaks[window], peakOver(peaks, window)];
    return found && at ? { ...reportFlow(found), at: iso(at.at_s), ...boundsOf(window) } : null;
  };
  const pumps = pumpRows(site, tally, (flow) => flow && reportFlow(withShared(flow, shared)));
  const firm = firmRate(tally);
  const unwatched = tally.unwatched?.runs ?? 0;
  // Against a measured rate the stated errors of basin and sensor cancel; against the pump's curve they do not.
  const asMeasured = overAll(tally, peaks, firm === null ? shared : noSharedErrors);
  return {
    schema: reportSchema,
    span: {
      start: tally.start_s === null ? null : iso(tally.start_s),
      end: tally.end_s === null ? null : iso(tally.end_s),
      rows: tally.rows,
      gaps: tally.gaps.map((gap) => ({ from: iso(gap.from_s), to: iso(gap.to_s) })),
      ...(tally.gapsLeftOut > 0 && { gaps_left_out: tally.gapsLeftOut }),
    },
    inflow: {
      mean_lpm: mean?.lpm ?? null,
      mean_u95_lpm: mean?.u95_lpm ?? null,
      ...(meanIsLeast && mean !== null && { mean_at_least: true as const }),
      peak: { "60": peak(0), "600": peak(1), "3600": peak(2) },
    },
    totals: {
      starts: allStarts(tally),
      ...(tapped && { starts_about: true as const }),
      run_s: milliseconds(ranFor_s(tally)),
      pumped_l: inLitres(figures.pumped?.value ?? null),
      pumped_u95_l: inLitres(figures.pumped?.u95 ?? null),
      ...(tapped && figures.pumped !== null && { pumped_about: true as const }),
      most_starts_in_an_hour: tally.mostStartsInAnHour,
      ...(unwatched > 0 && { unwatched_runs: unwatched }),
    },
    ...(pumps !== undefined && { pumps }),
    findings: [...tally.endedFindings, ...openFindings].sort((a, b) => a.from_s - b.from_s).map(reportFinding),
    ...(tally.findingsLeftOut > 0 && { findings_left_out: tally.findingsLeftOut }),
    sizing: roundedSizing(
      sizeUp({
        site,
        peakIsLeast: isOpen(1),
        mostPeak600_m3s: upperEnd_m3s(asMeasured.mostOfPeaks[1] ?? null),
        peak600_m3s: reckonedPeak_m3s(
          tenMinutes?.inflow_m3s ?? null,
          leastPeak600_m3s ?? 0,
          blind,
          (firm?.flow_m3s ?? Number.POSITIVE_INFINITY) / site.design.inflowFactor,
        ),
        uPeak600_m3s: asMeasured.peaks[1]?.uFlow_m3s ?? null,
        measuredPumpRate_m3s: firm?.flow_m3s ?? null,
        ...(pumps !== undefined && { bothPumps_m3s: tally.bothRate?.flow_m3s ?? null }),
        cycles: allStarts(tally),
      }),
    ),
  };
}

function inLitres(volume_m3: number | null): number | null {
  return volume_m3 === null ? null : rounded(volume_m3 * 1000);
}

/** Ripples and a reading or two at the rim are no water that went over it. */
const surelyOverRim_s = 20;
/** Time in which more may have come in than is known: so much in all, or of a brief recording so large a part of it. */
const surelyUnfollowed_s = 600;
const surelyUnfollowed = 0.01;
/** Place of the hour among the windows of the peaks. */
const hour = windows_s.indexOf(3600);
/** Water over the start level without a word of the pump: the worst may have come unseen. */
const tooLongBlind_s = 120;

/**
 * Never less than what must have come in while the pump ran flat out, by which the finding `undersized` goes too. That is
 * no peak where the worst may have come unseen, unless it alone is too much for the pump.
 */
function reckonedPeak_m3s(measured_m3s: number | null, least_m3s: number, blind: boolean, enough_m3s: number) {
  if (blind) return least_m3s > enough_m3s ? least_m3s : null;
  return least_m3s > 0 ? Math.max(measured_m3s ?? 0, least_m3s) : measured_m3s;
}

export function reportCycle(cycle: Cycle): ReportCycle {
  return {
    started_at: iso(cycle.startedAt_s),
    stopped_at: iso(cycle.stoppedAt_s),
    run_s: milliseconds(cycle.run_s),
    rest_s: cycle.rest_s === null ? null : milliseconds(cycle.rest_s),
    start_level_mm: cycle.startLevel_m === null ? null : rounded(cycle.startLevel_m * 1000),
    stop_level_mm: cycle.stopLevel_m === null ? null : rounded(cycle.stopLevel_m * 1000),
    inflow: cycle.inflow === null ? null : { ...reportFlow(cycle.inflow), method: cycle.inflow.method },
    pump_rate: cycle.pumpRate === null ? null : reportFlow(cycle.pumpRate),
    drain_back_l: cycle.drainBack_m3 === null ? null : rounded(cycle.drainBack_m3 * 1000),
    running_current_a: cycle.runningCurrent == null ? null : rounded(cycle.runningCurrent.mean),
    running_current_sd_a: spreadOf(cycle.runningCurrent),
    running_power_w: cycle.runningPower == null ? null : rounded(cycle.runningPower.mean),
    running_power_sd_w: spreadOf(cycle.runningPower),
    pumps: reportShares(cycle.pumps),
  };
}

function spreadOf(load: RunningLoad | null | undefined): number | null {
  const { standardDeviation = null } = load ?? {};
  return standardDeviation === null ? null : rounded(standardDeviation);
}

function reportShares(pumps: Cycle["pumps"]): ReportShares | null {
  if (pumps == null) return null;
  const { pump1_s, pump2_s, both_s, rateOf } = pumps;
  return {
    pump1_s: milliseconds(pump1_s),
    pump2_s: milliseconds(pump2_s),
    both_s: milliseconds(both_s),
    rate_of: rateOf,
  };
}

export function reportFinding(finding: Finding): ReportFinding {
  const evidence = Object.fromEntries(Object.entries(finding.evidence).map(([key, value]) => reportFigure(key, value)));
  return {
    kind: finding.kind,
    severity: finding.severity,
    from: iso(finding.from_s),
    to: finding.to_s === null ? null : iso(finding.to_s),
    evidence,
    message: finding.message,
  };
}

/** SI inside, the contract's units outside: the suffix of the name says which. */
function reportFigure(key: string, value: number | string | boolean | null): [string, typeof value] {
  const units: [string, string, number][] = [
    ["_m3s", "_lpm", m3sToLpm],
    ["_m3", "_l", 1000],
    ["_m", "_mm", 1000],
  ];
  for (const [inside, outside, factor] of units) {
    if (!key.endsWith(inside)) continue;
    return [key.slice(0, -inside.length) + outside, typeof value === "number" ? rounded(value * factor) : value];
  }
  // A moment, in seconds since 1970, is no figure to be rounded.
  if (key === "since_s" && typeof value === "number") return [key, milliseconds(value)];
  return [key, typeof value === "number" ? rounded(value) : value];
}

/** Of the interval that `u95` spans. */
function upperEnd_m3s(estimate: FlowEstimate | null): number | null {
  if (estimate === null) return null;
  return estimate.flow_m3s + studentTQuantile(0.975, estimate.degreesOfFreedom) * estimate.uFlow_m3s;
}

export function reportFlow(estimate: FlowEstimate): ReportFlow {
  const coverage = studentTQuantile(0.975, estimate.degreesOfFreedom);
  return {
    lpm: rounded(estimate.flow_m3s * m3sToLpm),
    u95_lpm: rounded(coverage * estimate.uFlow_m3s * m3sToLpm),
  };
}

function roundedSizing(sizing: ReportSizing): ReportSizing {
  const orNull = (value: number | null) => (value === null ? null : rounded(value));
  const { duty_point } = sizing;
  return {
    verdict: sizing.verdict,
    required_lpm: orNull(sizing.required_lpm),
    static_head_m: orNull(sizing.static_head_m),
    friction_head_m: orNull(sizing.friction_head_m),
    total_dynamic_head_m: orNull(sizing.total_dynamic_head_m),
    duty_point: duty_point && { lpm: rounded(duty_point.lpm), head_m: rounded(duty_point.head_m) },
    margin: orNull(sizing.margin),
    ...(sizing.firm_capacity_lpm !== undefined && { firm_capacity_lpm: orNull(sizing.firm_capacity_lpm) }),
    ...(sizing.both_capacity_lpm !== undefined && { both_capacity_lpm: orNull(sizing.both_capacity_lpm) }),
  };
}

/** Six significant digits: more than any sensor gives, few enough to read. */
export function rounded(value: number): number {
  return Number(value.toPrecision(6));
}

function milliseconds(duration_s: number): number {
  return Math.round(duration_s * 1000) / 1000;
}

export function iso(time_s: number): string {
  return new Date(Math.round(time_s * 1000)).toISOString();
}
