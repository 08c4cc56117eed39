// A board without a battery clock may start in the past. The record's order is worth more than a right label: time then
// carries on from the record's end, and how far it is off is said.

import type { Clock } from "./clock.ts";

/** @param earliest_s end of the record; null when there is none */
export function clockNotBefore(clock: Clock, earliest_s: number | null): Clock {
  const behind_s = earliest_s === null ? 0 : earliest_s - clock.now_s();
  if (behind_s <= 0) return clock;
  return { now_s: () => clock.now_s() + behind_s, wallStep_s: () => clock.wallStep_s() - behind_s };
}
