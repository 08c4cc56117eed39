// Where the water stood at a moment of the record, by the float's turns before and after it.

import type { InflowStretch } from "../analyzer.ts";
import type { Anchor } from "./replay.ts";

/** In a run so long as this the water may have gone any way between its ends. */
const longRun_s = 120;

/**
 * Between two turns of the float the level goes from the one's to the other's: in a rest as the water comes in, in a run
 * evenly.
 *
 * @param turns in order of time
 * @returns the moment itself; in a long run, or after the last turn, the turn before it; null before the first
 */
export function recordedAnchor(
  time_s: number,
  turns: readonly Anchor[],
  inflow: readonly InflowStretch[],
): Anchor | null {
  const next = turns.findIndex((turn) => turn.time_s > time_s);
  const before = turns[(next === -1 ? turns.length : next) - 1];
  const after = turns[next];
  if (before === undefined) return null;
  if (after === undefined || after.calls === before.calls) return before;
  if (before.calls && after.time_s - before.time_s > longRun_s) return before;
  const came_m3 = (to_s: number) => (before.calls ? to_s - before.time_s : cameIn_m3(inflow, before.time_s, to_s));
  const all = came_m3(after.time_s);
  const share = all > 0 ? came_m3(time_s) / all : 0;
  return { time_s, level_m: before.level_m + share * (after.level_m - before.level_m), calls: before.calls };
}

function cameIn_m3(inflow: readonly InflowStretch[], from_s: number, to_s: number): number {
  return inflow.reduce((sum, stretch) => {
    const length_s = Math.min(to_s, stretch.to_s) - Math.max(from_s, stretch.from_s);
    return length_s > 0 ? sum + length_s * stretch.inflow_m3s : sum;
  }, 0);
}
