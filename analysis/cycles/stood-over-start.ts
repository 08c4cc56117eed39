// Without a level, what tells that more came in during a rest than lies between the floats.

import type { TrackerContext } from "./tracker-context.ts";
import type { TrackerState } from "./tracker-state.ts";
import { waitedForSupply } from "./waited-for-supply.ts";

/** More came in than fills the basin to where the float closes: it was lifted to high water, or waited for the supply. */
export function stoodOverStart(
  { liftedAt_s = Number.NaN, poweredAt_s = Number.NaN }: TrackerState,
  { interval_s }: TrackerContext,
  from_s: number,
  to_s: number,
): boolean {
  return liftedAt_s > from_s || (poweredAt_s > from_s && waitedForSupply(poweredAt_s, to_s, interval_s));
}
