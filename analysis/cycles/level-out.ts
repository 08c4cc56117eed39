// While the level tells nothing, because it drops out, is frozen or out of range or tosses about, the pump's float tells of
// the runs, or a contact that is asked too seldom to do so beside a level. Says when that is so, and keeps what they have
// said of late: that a level is frozen is known only after the runs that it did not show.

import { levelProblem, silentAfter_s } from "../readings/level-problem.ts";
import type { LevelScreenState } from "../readings/level-screen-state.ts";
import type { Said } from "./by-level/turn-as-told.ts";
import type { CadenceState } from "./cadence.ts";

export interface LevelOutState {
  out: boolean;
  /** When a level was last told that may be believed, and since when that has been so again; NaN before, and since it is out. */
  told_s: number;
  backFrom_s: number;
  /** The latest changes, oldest first. */
  said: Said[];
}

export function newLevelOut(): LevelOutState {
  return { out: false, told_s: Number.NaN, backFrom_s: Number.NaN, said: [] };
}

/** The level takes over again in a rest, so that no run is parted; but one that goes on for so long after may have no end. */
const longestRun_s = 600;
/** More changes than these since the level was last believed are a float that chatters. */
const mostSaid = 64;

/** Takes what float or contact says at a reading. Returns whether it is something else than before. */
export function noteSaid({ said }: LevelOutState, time_s: number, on: boolean | null): boolean {
  if (on === null || said.at(-1)?.on === on) return false;
  said.push({ time_s, on });
  if (said.length > mostSaid) said.shift();
  return true;
}

/** The latest run that float or contact has told of, once it is over; null where it has told of none. */
export function runSaid({ said }: LevelOutState): { readonly from_s: number; readonly to_s: number } | null {
  const [start, stop] = said.slice(-2);
  return start?.on === true && stop?.on === false ? { from_s: start.time_s, to_s: stop.time_s } : null;
}

/**
 * Takes a reading. A level is out only once float or contact has told more than it did: water may stand for hours.
 *
 * @param level_m null without one that may be a water level
 * @param runs    the pump runs, as float or contact says
 */
export function noteLevelOut(
  state: LevelOutState,
  screen: LevelScreenState,
  cadence: CadenceState,
  time_s: number,
  level_m: number | null,
  runs: boolean,
): void {
  if (state.said.length === 0) return;
  const long_s = Math.max(cadence.long_s, Number.isNaN(screen.long_s) ? 0 : screen.long_s);
  const silent_s = silentAfter_s(screen, long_s);
  if (level_m !== null && levelProblem(screen, time_s) === null) {
    if (!(time_s - state.told_s <= silent_s)) state.backFrom_s = time_s;
    state.told_s = time_s;
    const backFor_s = time_s - state.backFrom_s;
    if (state.out && backFor_s >= (runs ? longestRun_s : silent_s)) state.out = false;
    return;
  }
  if (Number.isNaN(state.told_s)) state.told_s = time_s;
  if (state.out) return;
  // What a frozen one has gone on to say tells nothing.
  const told_s = screen.standing ? Math.min(state.told_s, screen.repeatsFrom_s) : state.told_s;
  const saysMore = (state.said.at(-1)?.time_s ?? Number.NEGATIVE_INFINITY) > told_s;
  if (!saysMore || !(time_s - told_s > silent_s)) return;
  state.out = true;
  state.told_s = told_s;
}

/**
 * What float or contact has said since a rest or run began as the level showed it, to be gone through anew.
 *
 * @param on that is a run
 * @returns null where the two do not go together
 */
export function saidSince({ said }: LevelOutState, from_s: number, on: boolean): readonly Said[] | null {
  const since = said.filter(({ time_s }) => time_s > from_s);
  if (since.length === 0 && said.at(-1)?.on !== on) return null;
  return since;
}
