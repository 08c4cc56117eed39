// The worst ten minutes so far, with the design allowance, are more than the pump moves.

import type { Peak } from "../inflow/over-time/rolling-peaks.ts";
import type { Rule, View } from "./rule.ts";

/** What the pump moves is learned anew from run to run: it must be clearly enough to end it. */
export const clearlyEnough = 1.05;

/** What the pump moves or the peak, known no better than this, says nothing of its size. */
export const vaguelyKnown = 0.3;

export const undersized: Rule = {
  kind: "undersized",
  severity: "warning",
  onDelay_s: 0,
  offDelay_s: 3600,
  notWhileCalm: true,
  holds: (view, open) => {
    const { inflowFactor } = view.site.design;
    const peak = peakOf(view);
    const pumpRate = leftWithOneFailed(view);
    if (peak === null || pumpRate === null) return null;
    // The peak of a blocked pump's runs may be known to half of itself.
    const vaguePeak = peak.uInflow_m3s > vaguelyKnown * peak.inflow_m3s;
    if (vaguePeak || pumpRate.uFlow_m3s > vaguelyKnown * pumpRate.flow_m3s) return null;
    const missing_m3s = peak.inflow_m3s * inflowFactor - pumpRate.flow_m3s;
    if (open !== null) return missing_m3s > (1 / clearlyEnough - 1) * pumpRate.flow_m3s;
    return missing_m3s > 0 && missing_m3s > Math.hypot(peak.uInflow_m3s * inflowFactor, pumpRate.uFlow_m3s);
  },
  evidence: (view) => ({
    peak_600_s_m3s: peakOf(view)?.inflow_m3s ?? null,
    inflow_factor: view.site.design.inflowFactor,
    pump_rate_m3s: leftWithOneFailed(view)?.flow_m3s ?? null,
  }),
  worsen: (evidence, view) => {
    const peak = peakOf(view);
    const higher = peak !== null && peak.inflow_m3s > 1.02 * Number(evidence.peak_600_s_m3s);
    return higher ? { ...evidence, peak_600_s_m3s: peak.inflow_m3s } : null;
  },
  message: () =>
    "The pump moves less than the measured peak inflow with its allowance. Plan a larger or a second pump, or a discharge with less friction; have a licensed plumber confirm the choice.",
};

/**
 * As measured, but no more than the pump can have moved in the time that it was seen to run, with what the basin took up;
 * or, where the water went over the rim, what it was at the least.
 */
function peakOf(view: View): Pick<Peak, "inflow_m3s" | "uInflow_m3s"> | null {
  const { peak600, leastPeak600_m3s } = view;
  const most_m3s = mostPeak_m3s(view);
  const measured = peak600 === null || peak600.inflow_m3s <= most_m3s ? peak600 : { ...peak600, inflow_m3s: most_m3s };
  if (leastPeak600_m3s === null || leastPeak600_m3s <= (measured?.inflow_m3s ?? 0)) return measured;
  return { inflow_m3s: leastPeak600_m3s, uInflow_m3s: 0 };
}

const window_s = 600;

function mostPeak_m3s({ mostRunShare, pumpRate, basinHolds_m3 }: View): number {
  if (mostRunShare === null || mostRunShare >= 1 || pumpRate === null || basinHolds_m3 === null)
    return Number.POSITIVE_INFINITY;
  return mostRunShare * (pumpRate.flow_m3s + 2 * pumpRate.uFlow_m3s) + basinHolds_m3 / window_s;
}

/** A standby is there for the day on which the other pump fails: it adds nothing to what can be counted on. */
function leftWithOneFailed({ pumps, pumpRate }: View) {
  return pumps === null ? pumpRate : pumps.firmRate;
}
