// How the level of a simulated basin goes: filled at one rate, then pumped empty. To the millimetre, as the page of all
// basins shows it, and another level at each reading of a cycle, so that one that is seen there can be told. Pure.

/** Of one filling and emptying, the same for all boards. */
export const cycle_ms = 100_000;
const lowest_mm = 200;
const rise_ms = 1000;
/** So that boards do not all pump at once. */
const apart_ms = 7919;

export function levelAt_m(board: number, now_ms: number): number {
  return Math.round(lowest_mm + phase_ms(board, now_ms) / rise_ms) / 1000;
}

/** Time since the pump started last. */
export function phase_ms(board: number, now_ms: number): number {
  return (Math.round(now_ms) + board * apart_ms) % cycle_ms;
}
