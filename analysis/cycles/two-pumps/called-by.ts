// Between which levels a run drew the water down where no level shows it: which of two floats called it. The lower one calls
// the pump on duty, the upper one the other beside it, or in its place where that does not start.

import type { BasinGeometry } from "../../geometry/basin.ts";
import type { Site } from "../../site.ts";
import { loneOf, type PumpNumber, type PumpSet } from "./pump-sets.ts";

/** Levels at which a float starts and stops a pump, m. */
interface FloatLevels {
  readonly start_m: number;
  readonly stop_m: number;
}

/** Where the floats of two pumps close and open. */
export interface TwoFloats {
  readonly lower: FloatLevels;
  readonly upper: FloatLevels;
}

export interface CallsState {
  /** What ran first in the latest run; null: not known, or both at once. */
  ran: PumpNumber | null;
  /** How many runs before it, one after the other, began with the same pump, and with another than the one before them. */
  again: number;
  changes: number;
  /** They were seen to take turns, run by run. */
  takeTurns: boolean;
  /** The upper float called the latest run, and the one before it. */
  upper: boolean;
  upperBefore: boolean;
  /** The latest rests before runs that began with the same pump, s; and the longest of those of the pump before. */
  rests_s: number[];
  longest_s: number;
  /** How fast the water rose in the latest rest of which that is known; NaN: in none. */
  rise_ms: number;
}

export function newCalls(): CallsState {
  const notKnown = { ran: null, again: 0, changes: 0, upper: false, upperBefore: false };
  return { ...notKnown, takeTurns: false, rests_s: [], longest_s: Number.NaN, rise_ms: Number.NaN };
}

/** So many changes on end are no failure of one pump, nor a clock that changes them over by the day. Judgement, no source. */
const inTurn = 4;
/** One that has had so many runs on end is first on duty; and the rests before so many tell which float called another. */
const onDuty = 3;
/** What the upper float lets come in between two runs is at least so many times what the lower does, to be told from it. */
const tellingRatio = 1.2;
/** Floats that open less far apart do so now in one order, now in the other. Judgement, no source. */
const apart_m = 0.01;

/**
 * A run begins. Of two that take turns the one whose turn it is not runs twice on end only where the other does not start: then
 * the upper float called it. Where one is first on duty the other runs by itself after rests as much longer as the upper float
 * hangs higher.
 *
 * @param set what runs first; 0: not known
 * @param rest_s since the run before; NaN: it was not seen whole
 */
export function noteCall(state: CallsState, set: PumpSet, rest_s: number, floats: TwoFloats): void {
  const { ran: before, again, upper: upperBefore, takeTurns } = state;
  const ran = loneOf(set);
  if (ran === null || before === null) {
    Object.assign(state, { ...newCalls(), takeTurns, upperBefore, ran, rests_s: [rest_s] });
    return;
  }
  const changed = ran !== before;
  state.ran = ran;
  state.again = changed ? 0 : again + 1;
  state.changes = changed ? state.changes + 1 : 0;
  if (state.changes >= inTurn) state.takeTurns = true;
  if (changed) {
    state.longest_s = again + 1 < onDuty ? Number.NaN : Math.max(...state.rests_s);
    state.rests_s = [];
  }
  state.rests_s.push(rest_s);
  if (state.rests_s.length > onDuty) state.rests_s.shift();
  state.upperBefore = upperBefore;
  state.upper = state.takeTurns ? missesItsTurn(state, rest_s, floats) : ran === 2 && standsIn(state, rest_s, floats);
  const between = restBetween(state, floats);
  if (between !== null && rest_s > 0) state.rise_ms = (between.to_m - between.from_m) / rest_s;
}

/**
 * The call of the lower float lasts until the water is down to where that opens, and the turn is the same until then. Where both
 * floats open about as low, it is whichever lets the water come in most nearly as it did before.
 */
function missesItsTurn({ again, upperBefore, rise_ms }: CallsState, rest_s: number, floats: TwoFloats): boolean {
  if (again < 2) return again === 1;
  const stays = staysCalled(floats);
  if (stays !== null || Number.isNaN(rise_ms)) return stays === true || again % 2 === 1;
  const { lower, upper } = floats;
  const from_m = upperBefore ? upper.stop_m : lower.stop_m;
  return rise_ms * rest_s > Math.sqrt((lower.start_m - from_m) * (upper.start_m - from_m));
}

/** Whether the lower float still calls once the upper one has ended a run; null: now and then. */
function staysCalled({ lower, upper }: TwoFloats): boolean | null {
  const over_m = upper.stop_m - lower.stop_m;
  return Math.abs(over_m) < apart_m ? null : over_m > 0;
}

/** The rest before its first run begins where the lower float opens, the others where the upper does. */
function standsIn({ again, longest_s, upper: called }: CallsState, rest_s: number, floats: TwoFloats): boolean {
  const { lower, upper } = floats;
  if (again > 0 && (again >= onDuty || !called || staysCalled(floats) === true)) return called;
  const from_m = again === 0 ? lower.stop_m : upper.stop_m;
  const ratio = (upper.start_m - from_m) / (lower.start_m - lower.stop_m);
  if (ratio < tellingRatio) return again > 0;
  return rest_s > ((1 + ratio) / 2) * longest_s;
}

/** Nothing is known of what ran while nobody watched. */
export function forgetCalls(state: CallsState): void {
  const { takeTurns } = state;
  Object.assign(state, { ...newCalls(), takeTurns });
}

/** Both floats have called in the run under way: it says nothing of the next. */
export function forgetWhoRan(state: CallsState): void {
  state.ran = null;
  state.upper = false;
}

/** The pump in whose place the other ran, and that so often on end that it does not start; null where nothing tells. */
export function idleByCalls({ ran, again, takeTurns, upper }: CallsState): PumpNumber | null {
  if (ran === null) return null;
  if (takeTurns) return again + 1 >= inTurn ? (ran === 1 ? 2 : 1) : null;
  return ran === 2 && upper && again + 1 >= onDuty ? 1 : null;
}

/** Null where either float's levels are not stated. */
export function twoFloats({ basin, pumps }: Site): TwoFloats | null {
  const { startLevel_m, stopLevel_m } = basin;
  const { startLevel_m: start_m = null, stopLevel_m: stop_m = null } = pumps?.[1] ?? {};
  if (startLevel_m === null || stopLevel_m === null || start_m === null) return null;
  return { lower: { start_m: startLevel_m, stop_m: stopLevel_m }, upper: { start_m, stop_m: stop_m ?? stopLevel_m } };
}

/**
 * Where the water stood at the beginning and at the end of the rest before the latest run; null: nobody knows. A pump that
 * starts again while it is called does so wherever the water stands.
 */
function restBetween({ again, upper, upperBefore }: CallsState, floats: TwoFloats) {
  if (upperBefore && again === 0 && staysCalled(floats) !== false) return null;
  const of = (isUpper: boolean) => (isUpper ? floats.upper : floats.lower);
  return { from_m: of(upperBefore).stop_m, to_m: of(upper).start_m };
}

/** By how much more than what lies between the lower float's levels the rest before the latest run filled, m³; null: not known. */
export function moreInRest_m3(state: CallsState, floats: TwoFloats | null, geometry: BasinGeometry): number | null {
  if (floats === null) return 0;
  const between = restBetween(state, floats);
  return between && moreThan_m3(floats.lower, between.from_m, between.to_m, geometry);
}

/** … and the latest run drew out. */
export function moreInRun_m3({ upper }: CallsState, floats: TwoFloats | null, geometry: BasinGeometry): number {
  return floats === null || !upper ? 0 : moreThan_m3(floats.lower, floats.upper.stop_m, floats.upper.start_m, geometry);
}

function moreThan_m3({ start_m, stop_m }: FloatLevels, from_m: number, to_m: number, { volume_m3 }: BasinGeometry) {
  return volume_m3(to_m) - volume_m3(start_m) - (volume_m3(from_m) - volume_m3(stop_m));
}
