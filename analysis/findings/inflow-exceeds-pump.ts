// The pump runs and the water still rises: more comes in than it moves.

import type { Rule } from "./rule.ts";

const leastRise_m = 0.004;

export const inflowExceedsPump: Rule = {
  kind: "inflow-exceeds-pump",
  severity: "critical",
  onDelay_s: 5,
  offDelay_s: 60,
  holds: ({ riseWhileRunning_m, pumpRunning, pumpInferred, level_m, site, levelNoise_m }) => {
    if (pumpRunning === null) return null;
    if (!pumpRunning || riseWhileRunning_m === null) return false;
    // By the level alone a pump that has stopped looks the same, but for water above the level at which it starts.
    const { startLevel_m } = site.basin;
    if (pumpInferred && (level_m === null || startLevel_m === null || level_m < startLevel_m)) return false;
    return riseWhileRunning_m > Math.max(leastRise_m, 4 * levelNoise_m);
  },
  evidence: ({ level_m, riseWhileRunning_m, pumpStateFor_s, pumpRate }) => ({
    level_m,
    rise_in_a_minute_m: riseWhileRunning_m,
    pump_running_s: pumpStateFor_s,
    pump_rate_m3s: pumpRate?.flow_m3s ?? null,
  }),
  message: () =>
    "The pump runs and the water still rises. See whether water leaves the discharge; if it does, more comes in than the pump moves: add a second pump. If none leaves, the discharge is blocked or the pump has failed.",
};
