// High water: the high float is lifted, or the level has reached the high mark.

import type { Rule } from "./rule.ts";

/** Waves and a pump that works at the mark do not end it: the water must be down by this much. */
export const clearlyDown_m = 0.003;

/** Worth saying again. */
export const higher_m = 0.005;

/** Two spikes in a row pass for a level; a float's contact makes none. */
export const levelReadings = 3;

export const highWater: Rule = {
  kind: "high-water",
  severity: "critical",
  onDelay_s: 10,
  offDelay_s: 30,
  onReadings: ({ highFloat }) => (highFloat === true ? 1 : levelReadings),
  notWhileCalm: true,
  holds: ({ highFloat, level_m, leastLevel_m, levelOnlySaidAgain, site }, open) => {
    const { highLevel_m } = site.basin;
    const at_m = open === null ? leastLevel_m : level_m;
    const mark_m = highLevel_m === null ? null : highLevel_m - (open === null ? 0 : clearlyDown_m);
    const byLevel = at_m === null || mark_m === null ? null : at_m >= mark_m;
    if (highFloat === true) return true;
    if (byLevel === true && open === null && levelOnlySaidAgain) return null;
    return highFloat === null ? byLevel : byLevel === true;
  },
  evidence: ({ level_m, highFloat, site, pumpRunning, mainsOn }) => ({
    highest_level_m: level_m,
    high_level_m: site.basin.highLevel_m,
    high_float: highFloat,
    pump_running: pumpRunning,
    mains_on: mainsOn,
  }),
  worsen: (evidence, { level_m }) => {
    const highest_m = evidence.highest_level_m;
    if (level_m === null || (typeof highest_m === "number" && level_m < highest_m + higher_m)) return null;
    return { ...evidence, highest_level_m: level_m };
  },
  message: ({ pumpRunning, mainsOn }) => {
    if (mainsOn === false) {
      return "High water and no supply to the pump. Restore the supply if that is safe, or use the backup pump. Do not step into water that may touch wiring.";
    }
    if (pumpRunning === false) {
      return "High water and the pump does not run. Check its plug, breaker and float without stepping into the water; call a plumber if it does not start.";
    }
    return "High water although the pump runs. Check that water leaves the discharge outside; keep things off the floor and have a second pump at hand.";
  },
};
