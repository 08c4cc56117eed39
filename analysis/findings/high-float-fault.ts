// The high-water float and the level contradict each other for long: one of the two is wrong, and the float is the last
// thing that warns when all else fails.

import type { Rule, View } from "./rule.ts";

/** Floats are hung by eye, and stay up until the water is well below. */
const apart_m = 0.05;
const stuckUpFor_s = 3600;
const downFor_s = 300;

/** Lifted with the water far below it. It goes on counting as high water: to be safe, and until it is freed. */
export const highFloatStuckUp: Rule = {
  kind: "sensor-fault",
  severity: "warning",
  onDelay_s: stuckUpFor_s,
  offDelay_s: 60,
  notWhileCalm: true,
  holds: (view) => {
    const water_m = trusted_m(view);
    const { highLevel_m, startLevel_m } = view.site.basin;
    const mark_m = highLevel_m ?? startLevel_m;
    if (view.highFloat === null || water_m === null || mark_m === null) return null;
    return view.highFloat && water_m < mark_m - (highLevel_m === null ? 0 : apart_m);
  },
  evidence: (view) => evidenceOf(view, "stuck-on"),
  message: () =>
    "The high-water float says lifted although the level reads far below it. Look at the water: if it is low, free the float from cords and walls and check its wiring; if it is high, the level sensor is wrong.",
};

/** Not lifted with the water far above it. */
export const highFloatStuckDown: Rule = {
  kind: "sensor-fault",
  severity: "warning",
  onDelay_s: downFor_s,
  offDelay_s: 60,
  notWhileCalm: true,
  holds: (view) => {
    const water_m = trusted_m(view);
    const { highLevel_m } = view.site.basin;
    if (view.highFloat === null || water_m === null || highLevel_m === null) return null;
    return !view.highFloat && water_m > highLevel_m + Math.max(apart_m, 4 * view.levelNoise_m);
  },
  evidence: (view) => evidenceOf(view, "stuck-off"),
  message: () =>
    "The high-water float is not lifted although the level reads far above it. Check the float for cords, walls and dirt and its wiring: it is the last warning when all else fails. If the water is low, the level sensor is wrong.",
};

function trusted_m({ level_m, levelProblem, trips }: View): number | null {
  return levelProblem !== null || trips.drift !== null ? null : level_m;
}

function evidenceOf({ level_m, site, highFloat }: View, problem: string) {
  return { channel: "high_float", problem, high_float: highFloat, level_m, high_level_m: site.basin.highLevel_m };
}
