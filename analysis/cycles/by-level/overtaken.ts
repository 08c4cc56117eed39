// A pump that is overtaken, by the level alone: more comes in than it moves, so the level turns and rises though it runs on.
// The level turns smoothly then; a pump that stops lets it leap from a fall into a rise.

import { closeTogether_s } from "./level-window.ts";

export interface OvertakenState {
  /** Two earlier points of the level while the pump runs, some seconds apart: how it has gone of late. */
  mark_s: number;
  mark_m: number;
  nextMark_s: number;
  nextMark_m: number;
  /** Two points of the fall, some millimetres apart. */
  fallMark_s: number;
  fallMark_m: number;
  nextFallMark_s: number;
  nextFallMark_m: number;
  /** How fast it rose when it was last found to rise while the pump ran, m/s; NaN while it falls. */
  rise_ms: number;
  /** What the runs so far have shown: by how much the rise quickens when the pump stops, and where. */
  jump_ms: number;
  stops_m: number;
  stops: number;
}

/** A fall that has turned into a rise. */
export interface Turn {
  /** Whence and when the level began to fall. */
  readonly from_m: number;
  readonly from_s: number;
  /** Lowest level of the run, or the latest that was found to be a rise while the pump ran. */
  readonly lowest_m: number;
  readonly lowestAt_s: number;
  /** Where and when the level came near it. */
  readonly near_m: number;
  readonly nearAt_s: number;
  /** Mean pace of the fall of the whole run. */
  readonly pace_ms: number;
  /** How fast the level rose in the rest before the run; 0 where that is not known. */
  readonly rose_ms: number;
  /** The level now, and how far apart readings are. */
  readonly time_s: number;
  readonly level_m: number;
  readonly interval_s: number;
}

export function newOvertaken(): OvertakenState {
  return { ...noCourse(), jump_ms: 0, stops_m: Number.NaN, stops: 0 };
}

function noCourse() {
  const [mark_s, mark_m, nextMark_s, nextMark_m] = [Number.NaN, Number.NaN, Number.NaN, Number.NaN];
  const [fallMark_s, fallMark_m, nextFallMark_s, nextFallMark_m] = [mark_s, mark_m, nextMark_s, nextMark_m];
  return {
    mark_s,
    mark_m,
    nextMark_s,
    nextMark_m,
    fallMark_s,
    fallMark_m,
    nextFallMark_s,
    nextFallMark_m,
    rise_ms: NaN,
  };
}

/** From point to point, in time; so far that what a stop makes is so many times what noise does; and in level, as a share of the swing between the floats. */
const apart_s = 5;
const overNoise = 8;
const apartOfSwing = 1 / 12;
const memory = 8;
const fewestStops = 4;
/** A lowest that lies higher is none at which the pump stops; one that lies deeper is a pump that ran dry. */
const wellAbove = 0.1;
const below = 0.1;
/** A rise that quickens by less of what a stop makes is the storm's own. */
const smoothly = 0.4;
/** Down at where it stops the fall had much coming in all the time, and turned more smoothly than it went on the average. */
const muchSlower = 0.6;
const slowsDown = 0.7;
/** A pump that rests lets the level rise as it did before the run, within so much; one that is overtaken, in a storm that came. */
const asBefore = 0.3;
/** A fall that comes to its end in fewer readings has not been seen to. */
const fewestReadings = 8;

/** A run begins: how the level went before is none of its course. */
export function beginCourse(state: OvertakenState): void {
  Object.assign(state, noCourse());
}

/** Takes in the level while the pump runs. @param noise_m standard deviation of the level */
export function noteCourse(
  state: OvertakenState,
  time_s: number,
  level_m: number,
  swing_m: number,
  noise_m: number,
): void {
  const shows_s = state.stops > 0 ? Math.max(apart_s, (overNoise * noise_m) / state.jump_ms) : apart_s;
  if (!(time_s - state.nextMark_s < shows_s)) {
    state.mark_s = state.nextMark_s;
    state.mark_m = state.nextMark_m;
    state.nextMark_s = time_s;
    state.nextMark_m = level_m;
  }
  if (state.nextFallMark_m - level_m < apartOfSwing * swing_m) return;
  state.fallMark_s = state.nextFallMark_s;
  state.fallMark_m = state.nextFallMark_m;
  state.nextFallMark_s = time_s;
  state.nextFallMark_m = level_m;
  state.rise_ms = Number.NaN;
}

/** Whether the level rises though the pump runs on; null while that cannot be told yet. */
export function isOvertaken(state: OvertakenState, turn: Turn, swing_m: number): boolean | null {
  const { jump_ms, stops_m, stops, mark_s, rise_ms } = state;
  const over_m = turn.lowest_m - stops_m;
  if (stops < fewestStops || !(over_m > -below * swing_m)) return false;
  const rising = !Number.isNaN(rise_ms);
  const above = rising || over_m > wellAbove * swing_m;
  // Of a level that stands, noise puts the lowest late, of many close together: the fall as far as it was marked is not thinned.
  const marked_s = state.fallMark_s - turn.from_s;
  const marked_ms =
    marked_s > 0 && turn.interval_s <= closeTogether_s ? (turn.from_m - state.fallMark_m) / marked_s : 0;
  if (!above && !(Math.max(turn.pace_ms, marked_ms) < muchSlower * jump_ms)) return false;
  if (!rising && !(turn.nearAt_s - state.fallMark_s >= fewestReadings * turn.interval_s)) return false;
  if (!rising && risesAsBefore(turn)) return false;
  if (!(mark_s >= turn.lowestAt_s)) return null;
  return jumpAt_ms(state, turn) < (above ? smoothly * jump_ms : slowsDown * turn.pace_ms);
}

/** The fall was over long before it was seen to be: a sensor that held its value through the stop turns smoothly too. */
function risesAsBefore({ lowest_m, lowestAt_s, rose_ms, time_s, level_m }: Turn): boolean {
  const rises_ms = (level_m - lowest_m) / (time_s - lowestAt_s);
  return Math.abs(rises_ms - rose_ms) < asBefore * rose_ms;
}

/** The level rises while the pump runs. */
export function noteRise(state: OvertakenState, time_s: number, level_m: number): void {
  state.rise_ms = risesOfLate_ms(state, time_s, level_m);
  state.fallMark_s = time_s;
  state.fallMark_m = level_m;
  state.nextFallMark_s = time_s;
  state.nextFallMark_m = level_m;
}

/** The pump has stopped. */
export function learnStop(state: OvertakenState, turn: Turn): void {
  const jump_ms = jumpAt_ms(state, turn);
  if (!(jump_ms > 0) || !Number.isNaN(state.rise_ms)) return;
  state.stops += 1;
  const share = 1 / Math.min(memory, state.stops);
  const towards = (usual: number, now: number) => (state.stops === 1 ? now : usual + share * (now - usual));
  state.jump_ms = towards(state.jump_ms, jump_ms);
  state.stops_m = towards(state.stops_m, turn.lowest_m);
}

/** By how much the rise has quickened at the turn. */
function jumpAt_ms(state: OvertakenState, { near_m, nearAt_s, time_s, level_m }: Turn): number {
  const fall_ms = (state.fallMark_m - near_m) / (nearAt_s - state.fallMark_s);
  const before_ms = Number.isNaN(state.rise_ms) ? -fall_ms : state.rise_ms;
  return risesOfLate_ms(state, time_s, level_m) - before_ms;
}

function risesOfLate_ms({ mark_s, mark_m }: OvertakenState, time_s: number, level_m: number): number {
  return (level_m - mark_m) / (time_s - mark_s);
}
