// The figures over many cycles with all that makes them uncertain: mean inflow, its peaks, what the pump moves and has
// moved. The scatter of the cycles averages away in them; what is wrong with all cycles alike does not.

import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import { type MostOfPeak, mostOfPeak, type PeaksState, peakOver } from "../inflow/over-time/rolling-peaks.ts";
import { uTotal_m3 } from "../inflow/over-time/total-inflow.ts";
import { type Budget, budgetOf } from "../uncertainty/budget.ts";
import { combinedUncertainty, effectiveDegreesOfFreedom } from "../uncertainty/combine.ts";
import { joinParts, type OtherParts } from "../uncertainty/parts.ts";
import { partsOf, type SharedErrors, withShared } from "../uncertainty/shared-errors.ts";
import { firmRate } from "./pump-tally.ts";
import { pumped_m3, type TallyState, uPumped_m3, uReturned_m3 } from "./tally.ts";

/** Many estimates stand behind these figures. */
const many = Number.POSITIVE_INFINITY;

export interface OverAll {
  readonly mean: FlowEstimate | null;
  /** Over a minute, ten minutes and an hour. */
  readonly peaks: readonly (FlowEstimate | null)[];
  /** The most that each of them may have been, where that is more. */
  readonly mostOfPeaks: readonly (FlowEstimate | null)[];
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
  const newest = newestFlows(tally);
  const inflow = (flow_m3s: number, uFlow_m3s: number) =>
    withShared(scatterAs({ flow_m3s, uFlow_m3s, degreesOfFreedom: many }, newest.inflow), shared);
  const mean = (one: MostOfPeak | null) => one && inflow(one.inflow_m3s, one.uInflow_m3s);
  return {
    mean: totalTime_s > 0 ? inflow(totalVolume_m3 / totalTime_s, uTotal_m3(peaks) / totalTime_s) : null,
    peaks: peaks.peaks.map((_, window) => mean(peakOver(peaks, window))),
    mostOfPeaks: peaks.peaks.map((_, window) => mean(mostOfPeak(peaks, window))),
    pumpRate: tally.pumpRate && withShared(scatterAs(tally.pumpRate, newest.pumpRate), shared),
    pumped: pumpedVolume(tally, shared, newest),
    margin: measuredMargin(tally, peaks, newest),
  };
}

type Flows = Pick<Cycle, "inflow" | "pumpRate">;

/** What scatters from cycle to cycle is told apart as in these: by its sources' shares. */
function newestFlows({ recentCycles }: TallyState): Flows {
  return recentCycles.find(({ inflow }) => inflow !== null) ?? { inflow: null, pumpRate: null };
}

function scatterAs(estimate: FlowEstimate, newest: FlowEstimate | null): FlowEstimate {
  const parts = partsAs(estimate.uFlow_m3s, newest);
  return parts === undefined ? estimate : { ...estimate, parts };
}

function partsAs(u: number, newest: FlowEstimate | null): OtherParts | undefined {
  return newest !== null && newest.uFlow_m3s > 0 ? joinParts([newest.parts], [u / newest.uFlow_m3s]) : undefined;
}

function pumpedVolume(tally: TallyState, shared: SharedErrors, { pumpRate }: Flows): Budget | null {
  const volume_m3 = pumped_m3(tally);
  if (volume_m3 === null) return null;
  const scatter_m3 = uPumped_m3(tally);
  const alike = partsOf(shared, volume_m3);
  const returned_m3 = uReturned_m3(tally);
  const u_m3 = combinedUncertainty([scatter_m3, returned_m3, ...Object.values(alike)]);
  const parts = joinParts([partsAs(scatter_m3, pumpRate), alike, { "returned-water": returned_m3 }]);
  return budgetOf(volume_m3, u_m3, many, parts ?? {});
}

function measuredMargin(tally: TallyState, peaks: PeaksState, newest: Flows): Budget | null {
  const pumpRate = firmRate(tally);
  const peak = peakOver(peaks, 1);
  if (pumpRate === null || peak === null || !(peak.inflow_m3s > 0)) return null;
  const margin = pumpRate.flow_m3s / peak.inflow_m3s;
  const ofPump = {
    u: (margin * pumpRate.uFlow_m3s) / pumpRate.flow_m3s,
    degreesOfFreedom: pumpRate.degreesOfFreedom,
  };
  const ofPeak = { u: (margin * peak.uInflow_m3s) / peak.inflow_m3s, degreesOfFreedom: many };
  const parts = joinParts([partsAs(ofPump.u, newest.pumpRate), partsAs(ofPeak.u, newest.inflow)]);
  const u = combinedUncertainty([ofPump.u, ofPeak.u]);
  return budgetOf(margin, u, effectiveDegreesOfFreedom([ofPump, ofPeak]), parts ?? {});
}
