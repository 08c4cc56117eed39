// Pairs the runs that were found with those that were. Runs that no reading could show count neither way.

import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Truth } from "./play.ts";
import type { TrueCycle } from "./witness.ts";

export interface Pair {
  readonly is: TrueCycle;
  readonly said: Cycle;
}

/**
 * A run within a stretch in which the sensor said the same again must be found too, but no one can know where in it.
 *
 * @param wall what the recording calls a moment
 * @returns pairs that overlap within `slack_s`, each run once, and how many true and found runs count
 */
export function matchCycles(
  truth: Truth,
  found: readonly Cycle[],
  wall: (time_s: number) => number,
  slack_s: number,
): { pairs: Pair[]; counted: number; judged: number } {
  const edge_s = 2 * slack_s;
  const seen = (from_s: number, to_s: number) =>
    from_s > edge_s &&
    to_s < truth.duration_s - edge_s &&
    truth.gaps.every((gap) => to_s < gap.from_s - slack_s || from_s > gap.to_s + slack_s);
  const clear = truth.cycles.map((is) => seen(is.startedAt_s, is.stoppedAt_s));
  const sorted = [...found].sort((a, b) => a.startedAt_s - b.startedAt_s);
  const within = ({ startedAt_s, stoppedAt_s }: TrueCycle) =>
    truth.blind.find(({ from_s, to_s }) => from_s <= startedAt_s && stoppedAt_s <= to_s);
  const taken = new Set<Cycle>();
  const pairs: Pair[] = [];
  let next = 0;
  truth.cycles.forEach((is, i) => {
    const blind = within(is);
    const from_s = wall(blind?.from_s ?? is.startedAt_s) - slack_s;
    const to_s = wall(blind?.to_s ?? is.stoppedAt_s) + slack_s;
    while (next < sorted.length && (sorted[next]?.stoppedAt_s ?? 0) < from_s) next++;
    const said = sorted[next];
    if (said === undefined || said.startedAt_s > to_s) return;
    taken.add(said);
    next++;
    if (!clear[i]) return;
    // an inflow or rate across a gap is not the one that was
    pairs.push({ is: restSeen(is, seen), said });
  });
  const stray = sorted.filter(
    (said) => !taken.has(said) && seen(unwall(said.startedAt_s, wall), unwall(said.stoppedAt_s, wall)),
  );
  return { pairs, counted: clear.filter(Boolean).length, judged: pairs.length + stray.length };
}

/** The rest before a run counts only if all of it was seen. */
function restSeen(is: TrueCycle, seen: (from_s: number, to_s: number) => boolean): TrueCycle {
  const whole = is.rest_s !== null && seen(is.startedAt_s - is.rest_s, is.startedAt_s);
  return whole ? is : { ...is, restInflow_m3s: null };
}

function unwall(time_s: number, wall: (time_s: number) => number): number {
  return time_s - (wall(time_s) - time_s);
}
