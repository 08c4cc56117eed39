// The pump does not stop although the water is down at the stop level: it will run dry and overheat.

import type { Rule } from "./rule.ts";

export const floatStuckOn: Rule = {
  kind: "float-stuck-on",
  severity: "critical",
  onDelay_s: 30,
  offDelay_s: 5,
  holds: ({ level_m, pumpRunning, pumpInferred, site, levelNoise_m }) => {
    const { stopLevel_m } = site.basin;
    if (level_m === null || stopLevel_m === null || pumpRunning === null) return null;
    // By the level alone a run that has just ended looks like one that goes on.
    if (pumpInferred) return null;
    return pumpRunning && level_m <= stopLevel_m + Math.min(0.003, levelNoise_m);
  },
  evidence: ({ level_m, site, pumpStateFor_s }) => ({
    level_m,
    stop_level_m: site.basin.stopLevel_m,
    pump_running_s: pumpStateFor_s,
  }),
  message: () =>
    "The pump runs on although the water is down. Switch it off at its plug before it overheats, then free or replace the float, and watch the level while it is off.",
};
