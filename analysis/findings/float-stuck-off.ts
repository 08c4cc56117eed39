// The water stands above the start level, the supply is there, and the pump does not start.

import type { Finding } from "./finding.ts";
import { levelReadings } from "./high-water.ts";
import type { Rule, View } from "./rule.ts";
import { firstCalled, overOwnStart_m } from "./two-pumps.ts";

/** A float's own scatter and a sensor's noise stay below this. */
export const margin_m = 0.015;
/**
 * Before a start has been seen nobody knows how well the site's level fits where the float trips: so much, or up to high
 * water, where that is less, but no less than the other; common practice, no source.
 */
export const unseenMargin_m = 0.1;
export const leastUnseen_m = 0.06;
/** A sensor whose zero is off by this much reads every start so much higher: one such start is enough to know it. */
export const offBy_m = 0.06;
const latestStarts = 3;
/** Of two that take turns and of which one does not start, every other start is that much higher. */
const latestOfTwo = 4;

export const floatStuckOff: Rule = {
  kind: "float-stuck-off",
  severity: "critical",
  onDelay_s: 30,
  // A pump that trips again after a moment of running is the same trouble.
  offDelay_s: 60,
  onReadings: ({ level_m }) => (level_m === null ? 1 : levelReadings),
  notWhileCalm: true,
  holds: (view, open) => {
    const { level_m, pumpRunning, pumpInferred, highFloat, mainsOn } = view;
    if (pumpRunning === null) return null;
    // The high float hangs above the start level: lifted, it says as much as a level does.
    if (level_m === null && highFloat !== null) return mainsOn !== false && !pumpRunning && highFloat;
    if (level_m === null || view.site.basin.startLevel_m === null) return null;
    if (open === null && view.levelOnlySaidAgain) return null;
    if (pumpInferred && (!standsByLevel(view) || (open === null && view.levelTosses))) return null;
    if (pumpRunning || mainsOn === false) return false;
    // Of two pumps one is named (`one-stuck-off.ts`) until the water is where the other is called, too.
    if (firstCalled(view) !== null) return isOverBothStarts(view, open);
    const at_m = open === null ? (view.leastLevel_m ?? level_m) : level_m;
    const over = at_m > (startsAt_m(view) ?? Number.POSITIVE_INFINITY) + (open === null ? clearOfStart_m(view) : 0);
    // Lowered without it, by hand or by another pump, the water says nothing of whether this one starts again.
    return !over && open !== null && !pumpInferred && isSameTrouble(view, open) ? null : over;
  },
  evidence: (view) => ({
    level_m: view.level_m,
    start_level_m: firstCalled(view) === null ? startsAt_m(view) : bothStartAt_m(view),
    pump_idle_s: view.pumpStateFor_s,
    mains_on: view.mainsOn,
  }),
  message: () =>
    "The water is above the start level and the pump does not start. Check plug and breaker first, then free the float from walls, cords and pipes; switch the pump off at its plug before reaching in.",
};

/** The water rises on as it did at rest; where that cannot show, little inflow rules out a pump that just holds it. */
function standsByLevel({ overStart, overRim, littleInflow }: View): boolean {
  const unseen = overStart === null || (overStart === "open" && overRim);
  return overStart === "stands" || (unseen && littleInflow);
}

/** Longer it does not stay open while the water is down: over the start may have been a sensor lifted out for a moment. */
const sameTrouble_s = 86_400;

/** The pump has rested since, for all that is known: not across a gap, in which it may have run. */
function isSameTrouble({ time_s, pumpStateFor_s }: View, { from_s }: Finding): boolean {
  return time_s - pumpStateFor_s <= from_s && time_s - from_s < sameTrouble_s;
}

/** So far over where it starts the water must stand for the pump to be missed. */
export function clearOfStart_m({ recentCycles, levelNoise_m, site }: View): number {
  const known = recentCycles.some(({ startLevel_m }) => startLevel_m !== null);
  const { startLevel_m, highLevel_m } = site.basin;
  const toHigh_m = (highLevel_m ?? Number.POSITIVE_INFINITY) - (startLevel_m ?? 0);
  const unseen_m = Math.min(unseenMargin_m, Math.max(leastUnseen_m, toHigh_m));
  return Math.max(known ? margin_m : unseen_m, 4 * levelNoise_m);
}

/** Over the start of either of two pumps. */
export function isOverBothStarts(view: View, open: Finding | null): boolean {
  const { levelNoise_m } = view;
  const level_m = open === null ? view.leastLevel_m : view.level_m;
  const over_m = open === null ? Math.max(overOwnStart_m, 4 * levelNoise_m) : 0;
  return level_m !== null && level_m > bothStartAt_m(view) + over_m;
}

/** By a sensor whose zero is off the upper float trips higher by as much as the lower. */
function bothStartAt_m(view: View): number {
  const { startLevel_m, highLevel_m } = view.site.basin;
  const off_m = (startsAt_m(view) ?? Number.NaN) - (startLevel_m ?? Number.NaN);
  const upper_m = (view.site.pumps?.[1].startLevel_m ?? Number.NaN) + Math.min(off_m, offBy_m);
  return Math.min(upper_m, highLevel_m ?? Number.POSITIVE_INFINITY);
}

/**
 * Where the pump starts: as the site says, or higher by the reading where it did so in two of the latest three starts, or
 * in the latest by no more than a zero may be off, or in the only one that was seen; higher by as much where the level
 * has leapt up since, which may be the sensor set anew; at high water at the latest.
 */
export function startsAt_m({ site, recentCycles, leapSinceStart_m, pumps }: View): number | null {
  const { startLevel_m, highLevel_m } = site.basin;
  if (startLevel_m === null) return null;
  let first_m = Number.NaN;
  let highest_m = Number.NEGATIVE_INFINITY;
  let second_m = Number.NEGATIVE_INFINITY;
  let seen = 0;
  for (const cycle of recentCycles) {
    if (cycle.startLevel_m === null || seen === (pumps === null ? latestStarts : latestOfTwo)) continue;
    if (seen === 0) first_m = cycle.startLevel_m;
    seen += 1;
    second_m = Math.max(second_m, Math.min(highest_m, cycle.startLevel_m));
    highest_m = Math.max(highest_m, cycle.startLevel_m);
  }
  const near_m = seen === 1 || first_m <= startLevel_m + offBy_m ? first_m : startLevel_m;
  const leap_m = leapSinceStart_m <= offBy_m ? leapSinceStart_m : 0;
  return Math.min(Math.max(startLevel_m, near_m, second_m) + leap_m, highLevel_m ?? Number.POSITIVE_INFINITY);
}
