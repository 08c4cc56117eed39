// Whether the pump runs, from whichever channel tells: a contact, else the motor's current or power, else the pump's
// float. Null where none does; runs are then read off the level.

import type { Reading } from "../readings/reading.ts";

/** A channel that may say whether the pump runs. */
export type PumpSignal = "pumpOn" | "pumpCurrent_a" | "pumpPower_w" | "floatOn";

export interface RunSignalState {
  /** The best channel seen so far. */
  origin: PumpSignal | null;
  on: boolean | null;
  /** Highest recent load, falling off slowly, against which a running motor is told from a standing one. */
  highest: number;
}

export function newRunSignal(): RunSignalState {
  return { origin: null, on: null, highest: 0 };
}

const rank: readonly PumpSignal[] = ["pumpOn", "pumpCurrent_a", "pumpPower_w", "floatOn"];
/** The smallest pump motors draw about twice this; a controller or a lamp on the same line stays below; common practice, no source. */
const leastCurrent_a = 0.5;
const leastPower_w = 50;

/** What the signal says after this reading; a channel without a value keeps what it said last. */
export function runSignal(state: RunSignalState, reading: Reading, hasLevel: boolean): boolean | null {
  // A level tells more than the pump's float: a float that calls does not yet mean a pump that runs.
  if (hasLevel && state.origin === "floatOn") Object.assign(state, newRunSignal());
  const origin = bestOrigin(reading, hasLevel);
  if (origin === null) return state.on;
  if (state.origin === null || rank.indexOf(origin) < rank.indexOf(state.origin)) {
    state.origin = origin;
    state.highest = 0;
  }
  if (origin !== state.origin) return state.on;
  if (origin === "pumpOn") state.on = reading.pumpOn;
  else if (origin === "floatOn") state.on = reading.floatOn;
  else if (origin === "pumpCurrent_a") state.on = loaded(state, reading.pumpCurrent_a, leastCurrent_a);
  else state.on = loaded(state, reading.pumpPower_w, leastPower_w);
  return state.on;
}

function bestOrigin(reading: Reading, hasLevel: boolean): PumpSignal | null {
  if (reading.pumpOn !== null) return "pumpOn";
  if (reading.pumpCurrent_a !== null) return "pumpCurrent_a";
  if (reading.pumpPower_w !== null) return "pumpPower_w";
  return reading.floatOn !== null && !hasLevel ? "floatOn" : null;
}

/** Whether the channel that tells speaks in this reading. */
export function carriesSignal({ origin }: RunSignalState, reading: Reading): boolean {
  if (origin === "pumpOn") return reading.pumpOn !== null;
  if (origin === "pumpCurrent_a") return reading.pumpCurrent_a !== null;
  if (origin === "pumpPower_w") return reading.pumpPower_w !== null;
  return origin === "floatOn" && reading.floatOn !== null;
}

/** A motor under load draws most of what it ever drew; between a quarter and 45 % of that nothing changes. */
function loaded(state: RunSignalState, load: number | null, least: number): boolean | null {
  if (load === null) return state.on;
  state.highest = Math.max(load, state.highest * 0.99999);
  if (load > Math.max(least, 0.45 * state.highest)) return true;
  if (load < Math.max(least, 0.25 * state.highest)) return false;
  return state.on;
}
