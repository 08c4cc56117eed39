// What the pump moves has gone down over many cycles: worn or clogged by and by, or held back at once by a little and
// steadily since. A loss of a quarter or more at once is the discharge's: discharge-blocked.

import { hasLost, stillLost } from "../inflow/pump-history.ts";
import { lossAdvice, lossCause } from "./loss-cause.ts";
import type { Rule, View } from "./rule.ts";
import { whichPump } from "./two-pumps.ts";

export const clearlyLess = 0.08;
export const stillLess = 0.05;

export const pumpWorn: Rule = {
  kind: "pump-worn",
  severity: "warning",
  onDelay_s: 0,
  offDelay_s: 0,
  notWhileCalm: true,
  holds: ({ slowChange }, open) => {
    if (slowChange === null) return null;
    if (open) return stillLost(slowChange, stillLess);
    return slowChange.overRuns > 0 && hasLost(slowChange, clearlyLess);
  },
  evidence: (view) => ({
    course: view.slowChange?.course ?? "slow",
    cause: causeOf(view),
    pump_rate_before_m3s: view.slowChange?.before.flow_m3s ?? null,
    pump_rate_now_m3s: view.slowChange?.now.flow_m3s ?? null,
    over_runs: view.slowChange?.overRuns ?? null,
    ...whichPump(view.pumps?.slowOf),
  }),
  worsen: (evidence, view) => {
    const { slowChange } = view;
    if (slowChange === null || !(slowChange.now.flow_m3s < 0.98 * Number(evidence.pump_rate_now_m3s))) return null;
    return pumpWorn.evidence(view);
  },
  message: (_, { cause }) => lossAdvice(cause),
};

function causeOf({ slowChange, startsLate, temperature_c }: View) {
  const course = slowChange?.course ?? "slow";
  const share = slowChange === null ? 1 : slowChange.now.flow_m3s / slowChange.before.flow_m3s;
  return lossCause({ course, share, spread: 0, startsLate, temperature_c });
}
