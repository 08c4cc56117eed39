// Whether a pump that has no supply is needed all the same, and soon. Pure.

import type { AlarmInput } from "./alarm.ts";

/**
 * Since when a pump without supply has been wanted: the water is over its start level, or has lifted its float. With a level
 * that begins only where the floor is near at this rate: a trickle in a power cut is no hurry.
 */
export function wantedInVain_s(input: AlarmInput, before_s: number | null): number | null {
  const { situation, site, toFloor, time_s } = input;
  const { level_m, floatOn, mainsOn, pumpRunning } = situation;
  const { startLevel_m, highLevel_m, overflowLevel_m } = site.basin;
  if (mainsOn !== false || pumpRunning === true) return null;
  if (level_m === null) return floatOn === true ? (before_s ?? time_s) : null;
  if (
    startLevel_m === null ||
    level_m < Math.min(startLevel_m + clearlyOver_m, highLevel_m ?? Number.POSITIVE_INFINITY)
  )
    return null;
  const hurries =
    toFloor !== null &&
    (overflowLevel_m === null
      ? toFloor.rise_ms > 2 * toFloor.uRise_ms
      : toFloor.expected_s !== null && toFloor.expected_s < nearFloor_s);
  return before_s ?? (hurries ? time_s : null);
}

/** A site's level may fit its float's trip no better than this; common practice, no source. */
const clearlyOver_m = 0.06;
/** Time in which something can still be done without a supply; common practice, no source. */
const nearFloor_s = 7200;
