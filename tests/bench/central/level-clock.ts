// A level that tells when it was published: the basin fills for so long at one rate, and then is pumped empty. So the one
// who sees it on the page knows its age by the one clock of the machine. Pure.

/** Of one filling and emptying, the same for all boards. */
export const cycle_ms = 100_000;
const lowest_m = 0.2;
const rise_m = 1e-6;
/** So that boards do not all pump at once. */
const apart_ms = 7919;

export function levelAt(board: number, now_ms: number): number {
  return (lowest_m / rise_m + phase_ms(board, now_ms)) * rise_m;
}

/** @returns how long ago it was true, in ms, less than a cycle */
export function ageOf(board: number, level_m: number, now_ms: number): number {
  const then_ms = Math.round((level_m - lowest_m) / rise_m);
  const age_ms = phase_ms(board, now_ms) - then_ms;
  return age_ms < 0 ? age_ms + cycle_ms : age_ms;
}

/** Time since the pump started last. */
export function phase_ms(board: number, now_ms: number): number {
  return (Math.round(now_ms) + board * apart_ms) % cycle_ms;
}
