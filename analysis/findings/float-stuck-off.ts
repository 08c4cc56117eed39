// The water stands above the start level, the supply is there, and the pump does not start.

import type { Rule } from "./rule.ts";

/** A float's own scatter and a sensor's noise stay below this. */
export const margin_m = 0.015;

export const floatStuckOff: Rule = {
  kind: "float-stuck-off",
  severity: "critical",
  onDelay_s: 30,
  // A pump that trips again after a moment of running is the same trouble.
  offDelay_s: 60,
  notWhileCalm: true,
  holds: ({ level_m, pumpRunning, pumpInferred, littleInflow, highFloat, mainsOn, site, levelNoise_m }, open) => {
    const { startLevel_m } = site.basin;
    if (pumpRunning === null) return null;
    // The high float hangs above the start level: lifted, it says as much as a level does.
    if (level_m === null && highFloat !== null) return mainsOn !== false && !pumpRunning && highFloat;
    if (level_m === null || startLevel_m === null) return null;
    // By the level alone a pump that just holds the inflow looks like one that stands; little inflow rules that out.
    if (pumpInferred && !littleInflow) return null;
    const over_m = open === null ? Math.max(margin_m, 4 * levelNoise_m) : 0;
    return mainsOn !== false && !pumpRunning && level_m > startLevel_m + over_m;
  },
  evidence: ({ level_m, site, pumpStateFor_s, mainsOn }) => ({
    level_m,
    start_level_m: site.basin.startLevel_m,
    pump_idle_s: pumpStateFor_s,
    mains_on: mainsOn,
  }),
  message: () =>
    "The water is above the start level and the pump does not start. Check plug and breaker first, then free the float from walls, cords and pipes; switch the pump off at its plug before reaching in.",
};
