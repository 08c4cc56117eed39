// The pump runs and moves far less than it did before: a discharge that is blocked or frozen, or a pump that lost its
// prime.

import { hasLost, stillLost } from "../inflow/pump-history.ts";
import type { Rule, View } from "./rule.ts";

const farLess = 0.25;
const stillLess = 0.12;
/** In the middle of a run: hardly any fall although little comes in, for longer than a start takes. */
const runWithoutFall_s = 20;
const stormCouldHaveBegun_s = 300;
const half = 0.5;
const moreInflow = 0.03;
const nearlyAll = 0.75;
const aboveStop_m = 0.02;

export const dischargeBlocked: Rule = {
  kind: "discharge-blocked",
  severity: "critical",
  onDelay_s: 20,
  offDelay_s: 0,
  holds: (view, open) => {
    const { pumpRunning, pumpRate, pumpStateFor_s, dischargeNow_m3s, suddenChange } = view;
    if (pumpRunning === null) return null;
    if (movesNothing(view, open !== null)) return true;
    if (suddenChange !== null && (open ? stillLost(suddenChange, stillLess) : hasLost(suddenChange, farLess)))
      return true;
    if (open === null) return false;
    // Only a run that moves water again ends it.
    const enough_m3s = nearlyAll * (pumpRate?.flow_m3s ?? 0);
    const [latest] = view.recentCycles;
    if (latest?.pumpRate && latest.startedAt_s > open.from_s && latest.pumpRate.flow_m3s > enough_m3s) return false;
    const wellRunning = pumpRunning && pumpStateFor_s >= runWithoutFall_s && dischargeNow_m3s !== null;
    return wellRunning && dischargeNow_m3s > enough_m3s ? false : null;
  },
  evidence: ({ suddenChange, pumpRate, dischargeNow_m3s, level_m, pumpStateFor_s, pumpRunning }) => ({
    pump_rate_before_m3s: suddenChange?.before.flow_m3s ?? pumpRate?.flow_m3s ?? null,
    pump_rate_now_m3s: (pumpRunning === true ? dischargeNow_m3s : null) ?? suddenChange?.now.flow_m3s ?? null,
    level_m,
    pump_state_for_s: pumpStateFor_s,
  }),
  message: () =>
    "The pump runs but moves far less water than it did. Look outside whether water leaves the discharge; free it of ice, mud or debris, check the valves, and listen for a pump that sucks air. Unplug the pump before you open anything.",
};

/**
 * More inflow does not come from one minute to the next: a run after little inflow that hardly lowers the water is no
 * storm. Down at the stop level a pump that moves nothing has only run out of water.
 */
function movesNothing(view: View, open: boolean): boolean {
  const { level_m, pumpStateFor_s, dischargeNow_m3s, pumpRate, stopLevel_m } = view;
  if (view.pumpRunning !== true || view.pumpInferred || !view.closelyRead || !view.littleInflow) return false;
  if (level_m === null || dischargeNow_m3s === null || pumpRate === null) return false;
  if (stopLevel_m !== null && level_m < stopLevel_m + aboveStop_m) return false;
  const soonAfterStart = pumpStateFor_s >= runWithoutFall_s && pumpStateFor_s < stormCouldHaveBegun_s;
  // Water that rises faster than it came in before is more inflow, not less discharge.
  const share = dischargeNow_m3s / pumpRate.flow_m3s;
  return (soonAfterStart || open) && share < half && share > -moreInflow;
}
