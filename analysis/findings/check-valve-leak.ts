// After each stop much more water comes back than a check valve lets through while it closes.

import type { Cycle } from "../cycles/cycle.ts";
import type { Rule } from "./rule.ts";

/** A closing valve lets part of a litre through; common practice, no source. */
const closingValve_m3 = 0.002;
const shareOfRun = 0.05;
const cycles = 5;
const stillLeaks = 2;

export const checkValveLeak: Rule = {
  kind: "check-valve-leak",
  severity: "warning",
  onDelay_s: 0,
  offDelay_s: 0,
  holds: ({ recentCycles }, open) => {
    let known = 0;
    let leaks = 0;
    for (const cycle of recentCycles) {
      if (cycle.drainBack_m3 === null || known === cycles) continue;
      known += 1;
      if (cycle.drainBack_m3 > limit_m3(cycle)) leaks += 1;
    }
    return known < cycles ? null : leaks >= (open ? stillLeaks : cycles - 1);
  },
  evidence: ({ recentCycles }) => ({
    drain_back_m3: recentCycles.find((cycle) => cycle.drainBack_m3 !== null)?.drainBack_m3 ?? null,
    closing_valve_m3: closingValve_m3,
  }),
  message: () =>
    "Much of what the pump lifts runs back after each stop. Check that the check valve is there, upright and closes; clean or replace it. Unplug the pump before you open the pipe: it is full of water.",
};

function limit_m3({ pumpRate, run_s }: Cycle): number {
  return Math.max(closingValve_m3, pumpRate === null ? 0 : shareOfRun * pumpRate.flow_m3s * run_s);
}
