// After each stop much more water comes back than a check valve lets through while it closes.

import type { Rule, View } from "./rule.ts";

/** A closing valve lets part of a litre through; common practice, no source. */
const closingValve_m3 = 0.002;
const shareOfRun = 0.05;
const cycles = 5;

export const checkValveLeak: Rule = {
  kind: "check-valve-leak",
  severity: "warning",
  onDelay_s: 0,
  offDelay_s: 0,
  holds: (view) => {
    const returns = lastReturns(view);
    if (returns.length < cycles) return null;
    return returns.filter(({ returned_m3, limit_m3 }) => returned_m3 > limit_m3).length >= cycles - 1;
  },
  evidence: (view) => ({
    drain_back_m3: lastReturns(view)[0]?.returned_m3 ?? null,
    closing_valve_m3: closingValve_m3,
  }),
  message: () =>
    "Much of what the pump lifts runs back after each stop. Check that the check valve is there, upright and closes; clean or replace it. Unplug the pump before you open the pipe: it is full of water.",
};

function lastReturns({ recentCycles }: View) {
  return recentCycles
    .flatMap(({ drainBack_m3, pumpRate, run_s }) => {
      if (drainBack_m3 === null) return [];
      const pumped_m3 = pumpRate === null ? 0 : pumpRate.flow_m3s * run_s;
      return [{ returned_m3: drainBack_m3, limit_m3: Math.max(closingValve_m3, shareOfRun * pumped_m3) }];
    })
    .slice(0, cycles);
}
