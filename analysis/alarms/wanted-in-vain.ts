// Whether a pump that has no supply is needed all the same, and soon. Pure.

import type { AlarmInput } from "./alarm.ts";
import { sinceFinding } from "./by-finding.ts";

/**
 * Since when a pump without supply has been wanted: the water is over its start level, or has lifted its float. With a level
 * that begins only where the floor is near at this rate: a trickle in a power cut is no hurry. Where neither start level nor
 * float is known, the level's rise alone tells; and where nothing at all tells of the water, somebody has to look.
 */
export function wantedInVain_s(input: AlarmInput, before_s: number | null): number | null {
  const { situation, time_s } = input;
  const { level_m, floatOn, highFloat, mainsOn, pumpRunning } = situation;
  if (mainsOn !== false || pumpRunning === true) return null;
  if (level_m !== null) return isWanted(input, level_m) ? (before_s ?? (hurries(input) ? time_s : null)) : null;
  if (floatOn !== null) return floatOn ? (before_s ?? time_s) : null;
  // Its own float wakes people, unless it is known to hang.
  return highFloat !== null && !isHighFloatAtFault(input) ? null : inTheDark_s(input);
}

export function isHighFloatAtFault({ situation: { openFindings } }: AlarmInput): boolean {
  return openFindings.some(({ kind, evidence }) => kind === "sensor-fault" && evidence.channel === "high_float");
}

/** Where neither start level nor float is known, it may be. */
function isWanted({ situation: { floatOn }, site }: AlarmInput, level_m: number): boolean {
  const { startLevel_m, highLevel_m } = site.basin;
  if (floatOn === true) return true;
  if (startLevel_m === null) return floatOn === null;
  return level_m >= Math.min(startLevel_m + clearlyOver_m, highLevel_m ?? Number.POSITIVE_INFINITY);
}

function hurries({ toFloor, site, situation: { floatOn } }: AlarmInput): boolean {
  if (toFloor === null) return false;
  const { startLevel_m, overflowLevel_m } = site.basin;
  if (overflowLevel_m !== null) return toFloor.expected_s !== null && toFloor.expected_s < nearFloor_s;
  const rises = toFloor.rise_ms > 2 * toFloor.uRise_ms;
  return rises && (startLevel_m !== null || floatOn === true || toFloor.rise_ms * nearFloor_s > muchRise_m);
}

/** Of a basin whose pump has not run for a day, nobody is woken. */
function inTheDark_s(input: AlarmInput): number | null {
  const lost_s = sinceFinding("power-lost")(input);
  const { lastRun_s } = input.care;
  if (lost_s === null || (lastRun_s !== null && lost_s - lastRun_s > dry_s)) return null;
  return input.time_s >= lost_s + inTheDarkAfter_s ? lost_s + inTheDarkAfter_s : null;
}

/** A site's level may fit its float's trip no better than this; common practice, no source. */
const clearlyOver_m = 0.06;
/** Time in which something can still be done without a supply; common practice, no source. */
const nearFloor_s = 7200;
/** In that time, where neither start nor floor is known; common practice, no source. */
const muchRise_m = 0.1;
/** Most power cuts are over by then, and few basins full; common practice, no source. */
const inTheDarkAfter_s = 900;
/** A pump that has not run for so long stands in a dry basin; common practice, no source. */
const dry_s = 86_400;
