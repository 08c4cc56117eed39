// The figures over many cycles with all that makes them uncertain: mean inflow, its peaks, what the pump moves and has
// moved. The scatter of the cycles averages away in them; what is wrong with all cycles alike does not.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { type PeaksState, uTotal_m3 } from "../inflow/rolling-peaks.ts";
import { type Budget, budgetOf } from "../uncertainty/budget.ts";
import { combinedUncertainty, effectiveDegreesOfFreedom } from "../uncertainty/combine.ts";
import { joinParts } from "../uncertainty/parts.ts";
import { type SharedErrors, withShared } from "../uncertainty/shared-errors.ts";
import { firmRate } from "./pump-tally.ts";
import { pumped_m3, type TallyState, uPumped_m3 } from "./tally.ts";

/** Many estimates stand behind these figures. */
const many = Number.POSITIVE_INFINITY;

export interface OverAll {
  readonly mean: FlowEstimate | null;
  /** Over a minute, ten minutes and an hour. */
  readonly peaks: readonly (FlowEstimate | null)[];
  /** As learned from the latest runs. */
  readonly pumpRate: FlowEstimate | null;
  readonly pumped: Budget | null;
  /**
   * What the pump moves over the peak of ten minutes, both as measured: of the same basin by the same sensor, so that what
   * is wrong with those cancels.
   */
  readonly margin: Budget | null;
}

export function overAll(tally: TallyState, peaks: PeaksState, shared: SharedErrors): OverAll {
  const { totalTime_s, totalVolume_m3 } = peaks;
  const newest = tally.recentCycles.find(({ inflow }) => inflow !== null);
  const inflow = (flow_m3s: number, uFlow_m3s: number) =>
    withShared(asOf({ flow_m3s, uFlow_m3s, degreesOfFreedom: many }, newest?.inflow ?? null), shared);
  return {
    mean: totalTime_s > 0 ? inflow(totalVolume_m3 / totalTime_s, uTotal_m3(peaks) / totalTime_s) : null,
    peaks: peaks.peaks.map((peak) => peak && inflow(peak.inflow_m3s, peak.uInflow_m3s)),
    pumpRate: tally.pumpRate && withShared(asOf(tally.pumpRate, newest?.pumpRate ?? null), shared),
    pumped: pumpedVolume(tally, shared),
    margin: measuredMargin(tally, peaks),
  };
}

/** What scatters from cycle to cycle is told apart as in the newest one: by its sources' shares. */
function asOf(estimate: FlowEstimate, newest: FlowEstimate | null): FlowEstimate {
  if (newest?.parts === undefined || !(newest.uFlow_m3s > 0)) return estimate;
  const parts = joinParts([newest.parts], [estimate.uFlow_m3s / newest.uFlow_m3s]);
  return parts === undefined ? estimate : { ...estimate, parts };
}

function pumpedVolume(tally: TallyState, { geometry, calibration }: SharedErrors): Budget | null {
  const volume_m3 = pumped_m3(tally);
  if (volume_m3 === null) return null;
  const parts = { geometry: geometry * volume_m3, calibration: calibration * volume_m3 };
  return budgetOf(volume_m3, Math.hypot(uPumped_m3(tally), parts.geometry, parts.calibration), many, parts);
}

function measuredMargin(tally: TallyState, { peaks }: PeaksState): Budget | null {
  const pumpRate = firmRate(tally);
  const peak = peaks[1] ?? null;
  if (pumpRate === null || peak === null || !(peak.inflow_m3s > 0)) return null;
  const margin = pumpRate.flow_m3s / peak.inflow_m3s;
  const terms = [
    { u: pumpRate.uFlow_m3s / pumpRate.flow_m3s, degreesOfFreedom: pumpRate.degreesOfFreedom },
    { u: peak.uInflow_m3s / peak.inflow_m3s, degreesOfFreedom: many },
  ];
  const relative = combinedUncertainty(terms.map(({ u }) => u));
  return budgetOf(margin, margin * relative, effectiveDegreesOfFreedom(terms), {});
}
