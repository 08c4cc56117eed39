// Which of two pumps run: what the second one's contact or float says, both freed of bounce, and from that the set of
// pumps that run at any time. Without a second pump none of this is at work.

import type { Reading } from "../../readings/reading.ts";
import { hasLasted } from "../by-signal/steady-signal.ts";
import type { Cycle, PumpShares } from "../cycle.ts";

/** None, the first, the second, or both. */
export type PumpSet = 0 | 1 | 2 | 3;

/** One of two. */
export type PumpNumber = 1 | 2;

interface SteadyContact {
  on: boolean | null;
  /** A change that has not lasted long enough yet, when it came (NaN when there is none), and how many readings have said so. */
  next: boolean;
  changingAt_s: number;
  readings: number;
}

export interface PumpSetsState {
  /** What tells of the second pump; null as long as nothing has. */
  origin: "pump2On" | "float2On" | null;
  /** What it says. */
  secondOn: boolean | null;
  readonly first: SteadyContact;
  readonly second: SteadyContact;
  set: PumpSet;
  setAt_s: number;
  /** Of the run in progress: time of each set that is over, by the number of the set. */
  readonly ran_s: [number, number, number, number];
}

export interface PumpSetsOutput {
  /** A pump was seen to start. */
  start(pump: PumpNumber, time_s: number): void;
  /** From `time_s` on another set of pumps runs. */
  changed(time_s: number, set: PumpSet): void;
}

export function newPumpSets(): PumpSetsState {
  return { origin: null, secondOn: null, first: unseen(), second: unseen(), set: 0, setAt_s: 0, ran_s: [0, 0, 0, 0] };
}

function unseen(): SteadyContact {
  return { on: null, next: false, changingAt_s: Number.NaN, readings: 0 };
}

/**
 * Takes what a reading says of the second pump; a channel without a value keeps what it said last.
 *
 * @param floatCounts its float may stand for it: there is no level, or the first pump has a signal of its own, so that
 *   the level is not asked which pumps run
 */
export function secondSignal(state: PumpSetsState, reading: Reading, floatCounts: boolean): void {
  if (reading.pump2On !== null) {
    state.origin = "pump2On";
    state.secondOn = reading.pump2On;
  } else if (reading.float2On !== null && state.origin !== "pump2On" && floatCounts) {
    state.origin = "float2On";
    state.secondOn = reading.float2On;
  }
}

/** A second pump is heard of: what was steady until now was the first one's. */
export function joinPump(state: PumpSetsState, firstOn: boolean | null, time_s: number): void {
  state.first.on = firstOn;
  state.set = firstOn === true ? 1 : 0;
  state.setAt_s = time_s;
}

/** At least one pump runs; unknown counts as off beside one that is known. */
export function eitherOn(first: boolean | null, second: boolean | null): boolean | null {
  return first === true || second === true ? true : first;
}

/** Takes what both signals say at a reading. */
export function feedPumps(state: PumpSetsState, time_s: number, first: boolean | null, output: PumpSetsOutput): void {
  const { secondOn: second } = state;
  // In the order in which they changed, should both be due.
  if (state.second.changingAt_s < state.first.changingAt_s) {
    feed(state, 2, time_s, second, output);
    feed(state, 1, time_s, first, output);
  } else {
    feed(state, 1, time_s, first, output);
    feed(state, 2, time_s, second, output);
  }
}

/** At a gap or the end a change in progress counts as made. */
export function settlePumps(state: PumpSetsState, output: PumpSetsOutput): void {
  const secondBefore = state.second.changingAt_s < state.first.changingAt_s;
  accept(state, secondBefore ? 2 : 1, output);
  accept(state, secondBefore ? 1 : 2, output);
}

/** What held before a gap need not hold after it. */
export function forgetPumps(state: PumpSetsState): void {
  state.secondOn = null;
  Object.assign(state.first, unseen());
  Object.assign(state.second, unseen());
  state.set = 0;
  state.ran_s.fill(0);
}

/** Who ran for how long in the run that has ended at `to_s`; the count begins anew. Null without a second pump. */
export function takeShares(state: PumpSetsState, from_s: number, to_s: number): Omit<PumpShares, "rateOf"> | null {
  if (state.origin === null) return null;
  if (state.set !== 0) state.ran_s[state.set] += Math.max(0, to_s - Math.max(from_s, state.setAt_s));
  const [, first_s, second_s, both_s] = state.ran_s;
  state.ran_s.fill(0);
  state.setAt_s = Math.max(state.setAt_s, to_s);
  return { pump1_s: first_s + both_s, pump2_s: second_s + both_s, both_s };
}

function feed(
  state: PumpSetsState,
  pump: PumpNumber,
  time_s: number,
  on: boolean | null,
  output: PumpSetsOutput,
): void {
  const contact = contactOf(state, pump);
  if (on === contact.next) contact.readings += 1;
  if (hasLasted(time_s - contact.changingAt_s, contact.readings)) accept(state, pump, output);
  if (on === null) return;
  if (on === contact.on) {
    contact.changingAt_s = Number.NaN;
  } else if (Number.isNaN(contact.changingAt_s)) {
    contact.changingAt_s = time_s;
    contact.next = on;
    contact.readings = 1;
    // The first state ever known has nothing to bounce from.
    if (contact.on === null) accept(state, pump, output);
  }
}

function accept(state: PumpSetsState, pump: PumpNumber, output: PumpSetsOutput): void {
  const at_s = take(state, pump, output);
  if (Number.isNaN(at_s)) return;
  // Two that change at once are one change.
  const other = pump === 1 ? 2 : 1;
  if (contactOf(state, other).changingAt_s === at_s) take(state, other, output);
  const set = setOf(state);
  if (set === state.set) return;
  if (state.set !== 0) state.ran_s[state.set] += Math.max(0, at_s - state.setAt_s);
  state.set = set;
  state.setAt_s = at_s;
  output.changed(at_s, set);
}

/** When the change in progress came, which counts from now on; NaN when there is none. */
function take(state: PumpSetsState, pump: PumpNumber, output: PumpSetsOutput): number {
  const contact = contactOf(state, pump);
  const { changingAt_s } = contact;
  if (Number.isNaN(changingAt_s)) return changingAt_s;
  contact.changingAt_s = Number.NaN;
  if (contact.on === false && contact.next) output.start(pump, changingAt_s);
  contact.on = contact.next;
  return changingAt_s;
}

function contactOf({ first, second }: PumpSetsState, pump: PumpNumber): SteadyContact {
  return pump === 1 ? first : second;
}

function setOf({ first, second }: PumpSetsState): PumpSet {
  if (first.on === true) return second.on === true ? 3 : 1;
  return second.on === true ? 2 : 0;
}

/** Says in a cycle of two pumps whose flow its rate is; nothing in one of a single pump. */
export function rateIsOf({ pumps }: Cycle, set: PumpSet): Pick<Cycle, "pumps"> {
  return pumps == null ? {} : { pumps: { ...pumps, rateOf: nameOf(set) } };
}

export function nameOf(set: PumpSet): PumpShares["rateOf"] {
  return set === 0 ? null : set === 3 ? "both" : set;
}

/** The set that runs as one pump; null of both, and of none. */
export function loneOf(set: PumpSet): PumpNumber | null {
  return set === 1 || set === 2 ? set : null;
}
