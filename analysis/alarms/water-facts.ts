// What is told of the water with an alarm, and when it is so much worse that it is told again. Pure.

import type { AlarmFacts, AlarmInput } from "./alarm.ts";

/** While no source says anything, what was read last is told as such, and nothing of what changes by the minute. */
export function waterFacts({ situation, toFloor, site, care, time_s: now_s }: AlarmInput): AlarmFacts {
  const { level_m, pumpRunning, mainsOn, inflow, time_s } = situation;
  const levels = { high_level_m: site.basin.highLevel_m, floor_level_m: site.basin.overflowLevel_m };
  if (typeof care.silentSince_s === "number")
    return { ...levels, ...nothingRead, last_level_m: level_m, as_of_s: time_s, unread_until_s: now_s };
  return {
    level_m,
    ...(level_m === null && { last_level_m: lastLevel_m(situation) }),
    ...levels,
    rise_ms: toFloor?.rise_ms ?? situation.levelRate_ms,
    to_floor_s: toFloor?.expected_s ?? null,
    to_floor_earliest_s: toFloor?.earliest_s ?? null,
    to_floor_latest_s: toFloor?.latest_s ?? null,
    pump_running: pumpRunning,
    mains_on: mainsOn,
    inflow_m3s: inflow?.flow_m3s ?? null,
    as_of_s: time_s,
  };
}

/** Of a sensor that is at fault. */
function lastLevel_m({ openFindings }: AlarmInput["situation"]): number | null {
  const fault = openFindings.find(({ kind, evidence }) => kind === "sensor-fault" && evidence.channel === "level");
  const last_m = fault?.evidence.last_level_m;
  return typeof last_m === "number" ? last_m : null;
}

const nothingRead: AlarmFacts = {
  ...{ level_m: null, rise_ms: null, inflow_m3s: null, pump_running: null, mains_on: null },
  ...{ to_floor_s: null, to_floor_earliest_s: null, to_floor_latest_s: null },
};

/** Where the pump still takes the water away: when a rest's rise would reach the floor is nothing to be afraid of. */
export function standingFacts(input: AlarmInput): AlarmFacts {
  const { rise_ms: _, to_floor_s: __, to_floor_earliest_s: ___, to_floor_latest_s: ____, ...facts } = waterFacts(input);
  return facts;
}

/** The water has come clearly nearer to the floor: half the room that was left is gone, or it is there. */
export function isWorse(told: AlarmFacts, now: AlarmFacts): boolean {
  const { level_m: then_m, floor_level_m: floor_m } = told;
  const { level_m } = now;
  if (told.mains_on === true && now.mains_on === false) return true;
  if (typeof level_m !== "number" || typeof then_m !== "number") return false;
  if (typeof floor_m !== "number") return level_m > then_m + muchHigher_m;
  const room_m = floor_m - then_m;
  return room_m > 0 && level_m > then_m + Math.max(room_m / 2, noWave_m);
}

/** Where the floor's level is not known. */
const muchHigher_m = 0.1;
const noWave_m = 0.01;
