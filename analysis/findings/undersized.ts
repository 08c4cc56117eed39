// The worst ten minutes so far, with the design allowance, are more than the pump moves.

import type { Rule, View } from "./rule.ts";

/** What the pump moves is learned anew from run to run: it must be clearly enough to end it. */
export const clearlyEnough = 1.05;

/** What the pump moves, known no better than this, says nothing of its size. */
export const vaguelyKnown = 0.3;

export const undersized: Rule = {
  kind: "undersized",
  severity: "warning",
  onDelay_s: 0,
  offDelay_s: 3600,
  notWhileCalm: true,
  holds: (view, open) => {
    const { site } = view;
    const peak_m3s = peakOf(view);
    const pumpRate = leftWithOneFailed(view);
    if (peak_m3s === null || pumpRate === null || pumpRate.uFlow_m3s > vaguelyKnown * pumpRate.flow_m3s) return null;
    const needed_m3s = peak_m3s * site.design.inflowFactor;
    return needed_m3s * (open === null ? 1 : clearlyEnough) > pumpRate.flow_m3s;
  },
  evidence: (view) => ({
    peak_600_s_m3s: peakOf(view),
    inflow_factor: view.site.design.inflowFactor,
    pump_rate_m3s: leftWithOneFailed(view)?.flow_m3s ?? null,
  }),
  worsen: (evidence, view) => {
    const peak_m3s = peakOf(view);
    const higher = peak_m3s !== null && peak_m3s > 1.02 * Number(evidence.peak_600_s_m3s);
    return higher ? { ...evidence, peak_600_s_m3s: peak_m3s } : null;
  },
  message: () =>
    "The pump moves less than the measured peak inflow with its allowance. Plan a larger or a second pump, or a discharge with less friction; have a licensed plumber confirm the choice.",
};

/** As measured; or, where the water went over the rim, what it was at the least. */
function peakOf({ peak600, leastPeak600_m3s }: View): number | null {
  if (leastPeak600_m3s === null) return peak600?.inflow_m3s ?? null;
  return Math.max(leastPeak600_m3s, peak600?.inflow_m3s ?? 0);
}

/** A standby is there for the day on which the other pump fails: it adds nothing to what can be counted on. */
function leftWithOneFailed({ pumps, pumpRate }: View) {
  return pumps === null ? pumpRate : pumps.firmRate;
}
