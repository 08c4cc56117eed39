// The daemon's clock: starts at the wall clock and then runs with the monotonic one, so that a step of the wall
// clock (a board without a battery clock that finds its time server) never reorders readings or invents a gap.

export interface Clock {
  /** Unix time in seconds: the wall clock at start plus the time that has passed since. Never steps. */
  now_s(): number;
  /** How far the wall clock has stepped away from `now_s` since the start; about 0 on a healthy board. */
  wallStep_s(): number;
}

export function systemClock(): Clock {
  const start_s = Date.now() / 1000;
  const start_ms = performance.now();
  // To the millisecond: what is finer is chance, and would take most of the room that a reading has in the record.
  const now_s = () => Math.round(start_s * 1000 + performance.now() - start_ms) / 1000;
  return { now_s, wallStep_s: () => Date.now() / 1000 - now_s() };
}
