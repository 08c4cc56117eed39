// How much is drawn after each start: a heater that stands on the motor's line for hours has many readings, and few starts.

import { halve, newHeaps, put } from "./load-heaps.ts";

export interface LoadStartsState {
  /** Starts, by what was drawn once that stood still. */
  readonly heaps: number[];
  /** Of a start that does not stand still yet: what is drawn, and since when; NaN where there is none. */
  load: number;
  since_s: number;
}

export function newLoadStarts(): LoadStartsState {
  return { heaps: newHeaps(), load: Number.NaN, since_s: Number.NaN };
}

/** What differs by no more than this many times stands still, as long as no inrush lasts; judgement, no source. */
const still = 1.12;
const stands_s = 1;
/** What was longer ago than so many starts counts less, be that a day or a year: of a motor that seldom starts, few are known. */
const mostStarts = 200;

export function noteJump(state: LoadStartsState, time_s: number, load: number): void {
  state.load = load;
  state.since_s = time_s;
}

/** Takes a load that has not jumped up. @param least what a motor draws @returns whether it has been counted with it */
export function noteStands(state: LoadStartsState, time_s: number, load: number, least: number): boolean {
  if (Number.isNaN(state.since_s)) return false;
  if (load < least) state.since_s = Number.NaN;
  else if (!(load < still * state.load && load * still > state.load)) noteJump(state, time_s, load);
  else if (time_s - state.since_s >= stands_s) {
    put(state.heaps, load, least);
    if (startsIn(state) >= mostStarts) halve(state.heaps);
    state.since_s = Number.NaN;
    return true;
  }
  return false;
}

/** So many starts count. */
export function startsIn({ heaps }: LoadStartsState): number {
  return heaps.reduce((all, each) => all + each, 0);
}
