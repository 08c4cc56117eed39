// Whether the pump runs, from whichever channel tells: a contact, else the motor's current or power, else the pump's
// float. Null where none does; runs are then read off the level.

import type { Reading } from "../../readings/reading.ts";
import { type BesideLoad, type LoadByLevelState, newLoadByLevel, withTheWater } from "./load-by-level.ts";
import { currentLoad, type LoadKind, powerLoad } from "./load-kind.ts";
import { isLoaded, type LoadSplitState, newLoadSplit, tookOther } from "./load-split.ts";

/** A channel that may say whether the pump runs. */
export type PumpSignal = "pumpOn" | "pumpCurrent_a" | "pumpPower_w" | "floatOn";

export interface RunSignalState {
  /** The best channel seen so far. */
  origin: PumpSignal | null;
  on: boolean | null;
  /** How a running motor is told from a standing one; null where a contact or a float tells. */
  load: LoadSplitState | null;
  /** … and whether the water goes with its load; absent: none has been held against it. */
  byLevel?: LoadByLevelState;
  /** What the load alone said last, where that may be something else; absent: nothing yet. */
  loaded?: boolean | null;
  /** What float and supply said last: without supply no float starts a pump. */
  calls: boolean | null;
  powered: boolean;
}

export function newRunSignal(): RunSignalState {
  return { origin: null, on: null, load: null, calls: null, powered: true };
}

const rank: readonly PumpSignal[] = ["pumpOn", "pumpCurrent_a", "pumpPower_w", "floatOn"];

/**
 * What the signal says after this reading; a channel without a value keeps what it said last.
 *
 * @param levelTells there is a level, and it is not out
 * @param besideLoad what a load is held against; null where no level comes so often that it follows a run
 */
export function runSignal(
  state: RunSignalState,
  reading: Reading,
  levelTells: boolean,
  besideLoad: (() => BesideLoad) | null = null,
): boolean | null {
  // A level tells more than the pump's float: a float that calls does not yet mean a pump that runs.
  if (levelTells) letGoOfFloat(state);
  if (reading.mainsOn !== null) state.powered = reading.mainsOn;
  if (reading.floatOn !== null) state.calls = reading.floatOn;
  const origin = bestOrigin(reading) ?? (state.calls !== null && !levelTells ? "floatOn" : null);
  if (origin === null) return state.on;
  if (state.origin === null || rank.indexOf(origin) < rank.indexOf(state.origin)) {
    state.origin = origin;
    state.load = null;
    delete state.byLevel;
  }
  if (origin !== state.origin) return state.on;
  if (origin === "pumpOn") state.on = reading.pumpOn;
  else if (origin === "floatOn") state.on = floatSays(state);
  else if (origin === "pumpCurrent_a")
    state.on = loaded(state, reading, reading.pumpCurrent_a, currentLoad, besideLoad);
  else state.on = loaded(state, reading, reading.pumpPower_w, powerLoad, besideLoad);
  return state.on;
}

/** The level tells again, or at last. */
export function letGoOfFloat(state: RunSignalState): void {
  if (state.origin === "floatOn") Object.assign(state, { origin: null, on: null });
}

/** Whether the pump's float has the pump run, as far as it has said anything. */
export function floatSays({ calls, powered }: RunSignalState): boolean | null {
  return calls === null ? null : calls && powered;
}

/** Told by the float alone: it goes on calling without supply. */
export function cutShort({ origin, calls, powered }: RunSignalState): boolean {
  return origin === "floatOn" && calls === true && !powered;
}

function bestOrigin(reading: Reading): PumpSignal | null {
  if (reading.pumpOn !== null) return "pumpOn";
  if (reading.pumpCurrent_a !== null) return "pumpCurrent_a";
  return reading.pumpPower_w !== null ? "pumpPower_w" : null;
}

/** Whether the channel that tells speaks in this reading. */
export function carriesSignal({ origin }: RunSignalState, reading: Reading): boolean {
  if (origin === "pumpOn") return reading.pumpOn !== null;
  if (origin === "pumpCurrent_a") return reading.pumpCurrent_a !== null;
  if (origin === "pumpPower_w") return reading.pumpPower_w !== null;
  return origin === "floatOn" && reading.floatOn !== null;
}

/** Whether what was said to be runs were those of something else on the motor's line; said once. */
export function toldOfOther({ origin, load }: RunSignalState): boolean {
  return load !== null && tookOther(load, origin === "pumpCurrent_a" ? currentLoad : powerLoad);
}

function loaded(
  state: RunSignalState,
  { time_s, level_m }: Reading,
  load: number | null,
  kind: LoadKind,
  besideLoad: (() => BesideLoad) | null,
): boolean | null {
  if (load === null) return state.on;
  state.load ??= newLoadSplit();
  const on = isLoaded(state.load, kind, time_s, load, state.loaded ?? state.on);
  state.loaded = on;
  if (besideLoad === null) return on;
  state.byLevel ??= newLoadByLevel();
  return withTheWater(state.byLevel, besideLoad, time_s, load, on, level_m);
}
