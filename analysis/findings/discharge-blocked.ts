// The pump runs and moves far less than it did before: a discharge that is blocked or frozen, or a pump that lost its
// prime.

import { hasLost } from "../inflow/pump-history.ts";
import type { Rule, View } from "./rule.ts";

const farLess = 0.25;
/** In the middle of a run: hardly any fall although little comes in, for longer than a start takes. */
const runWithoutFall_s = 20;
const stormCouldHaveBegun_s = 300;

export const dischargeBlocked: Rule = {
  kind: "discharge-blocked",
  severity: "critical",
  onDelay_s: 20,
  offDelay_s: 0,
  holds: (view, open) => {
    if (view.pumpRunning === null) return null;
    if (movesNothing(view, open)) return true;
    // Between runs what the last ones showed stays true.
    if (view.suddenChange === null) return view.pumpRunning ? false : null;
    return hasLost(view.suddenChange, farLess);
  },
  evidence: ({ suddenChange, pumpRate, level_m, pumpStateFor_s, levelRate_ms }) => ({
    pump_rate_before_m3s: suddenChange?.before.flow_m3s ?? pumpRate?.flow_m3s ?? null,
    pump_rate_now_m3s: suddenChange?.now.flow_m3s ?? null,
    level_m,
    level_rate_mm_per_s: levelRate_ms === null ? null : levelRate_ms * 1000,
    pump_state_for_s: pumpStateFor_s,
  }),
  message: () =>
    "The pump runs but moves far less water than it did. Look outside whether water leaves the discharge; free it of ice, mud or debris, check the valves, and listen for a pump that sucks air. Unplug the pump before you open anything.",
};

/** More inflow does not come from one minute to the next: a run after little inflow that does not lower the water is no storm. */
function movesNothing(view: View, open: boolean): boolean {
  const { level_m, pumpStateFor_s, levelRate_ms, expectedFall_ms } = view;
  if (view.pumpRunning !== true || view.pumpInferred || !view.littleInflow) return false;
  if (level_m === null || levelRate_ms === null || expectedFall_ms === null) return false;
  const soonAfterStart = pumpStateFor_s >= runWithoutFall_s && pumpStateFor_s < stormCouldHaveBegun_s;
  return (soonAfterStart || open) && levelRate_ms > -0.4 * expectedFall_ms;
}
