// A pump that runs flat out and does not lower the water: as much has come in as it moves, and what the water has risen
// beside, whether or not some has gone over the rim, where no level shows it. A bound from below, for what cannot be
// measured.

import type { AnalyzerState } from "../analyzer-state.ts";
import { isBlocked, signalDoubted } from "../cycles/by-signal/signal-and-pump.ts";
import { learnedBy } from "../cycles/tracker-state.ts";
import type { BasinGeometry } from "../geometry/basin.ts";
import { capabilityAt } from "../pump-flow/pump-capability.ts";

export interface FlatOutState {
  /** The level about every minute of the run under way, for somewhat more than ten minutes; oldest first. */
  marks: { readonly time_s: number; readonly level_m: number }[];
  /** This run shows that the pump is sound: it is no blocked discharge that keeps the water up. */
  sound: boolean;
  /** The bound by this run, should it show that; 0 before there is one. */
  pending_m3s: number;
  /** The highest bound so far of the mean inflow over ten minutes; null before there is one. */
  least_m3s: number | null;
}

export function newFlatOut(): FlatOutState {
  return { marks: [], sound: false, pending_m3s: 0, least_m3s: null };
}

/** What is known of the pump at the newest reading. */
export interface PumpNow {
  readonly pumpRate_m3s: number | null;
  /** By the fall of the level and the inflow before it, now, with its standard uncertainty, and at its best in this run. */
  readonly discharge_m3s: number | null;
  readonly uDischarge_m3s: number;
  readonly best_m3s: number | null;
  /** Where the float starts the pump, within its scatter: lower down it may run dry. NaN when that is not known. */
  readonly startsAt_m: number;
  /** For so long into a run the level, freed of spikes, goes on as it went before: far too low, in much inflow. */
  readonly lag_s: number;
}

const window_s = 600;
const longest_s = 720;
const between_s = 60;
/** Of what a pump moves: a run that began with so much, so much inflow before it, or a rise faster than at rest by so much. */
export const wellBegun = 0.75;
const muchInflow = 0.5;
const faster = 0.03;
const clear = 4;
/** In the first readings of a plain run this is not looked at (`plain-run.ts`). */
export const afterStart_s = 20;

/**
 * Takes the next level of a run.
 *
 * @param since_s when the run began
 */
export function noteFlatOut(
  state: AnalyzerState,
  geometry: BasinGeometry,
  since_s: number,
  time_s: number,
  level_m: number,
  pump: PumpNow,
): void {
  const { flatOut, tracker } = state;
  const { marks } = flatOut;
  if (marks.length > 0 && (marks[0]?.time_s ?? since_s) < since_s) {
    marks.length = 0;
    flatOut.sound = false;
    flatOut.pending_m3s = 0;
  }
  flatOut.sound ||= showsSound(pump, tracker.endInflow?.flow_m3s ?? 0, time_s - since_s);
  if (time_s - since_s >= pump.lag_s) noteMark(state, geometry, time_s, level_m, pump.startsAt_m);
  // What a pump did not move meanwhile is no inflow, though it comes up by itself in the end: air was caught in it.
  if (isBlocked(state) || signalDoubted(state)) {
    marks.length = 0;
    flatOut.pending_m3s = 0;
  }
  // Often the run shows it only at its end, when the water falls as quickly as it used to.
  if (!flatOut.sound || flatOut.pending_m3s === 0) return;
  flatOut.least_m3s = Math.max(flatOut.least_m3s ?? 0, flatOut.pending_m3s);
}

function noteMark(
  { flatOut, tracker }: AnalyzerState,
  geometry: BasinGeometry,
  time_s: number,
  level_m: number,
  startsAt_m: number,
): void {
  const { marks } = flatOut;
  if (time_s < (marks.at(-1)?.time_s ?? Number.NEGATIVE_INFINITY) + between_s) return;
  marks.push({ time_s, level_m });
  while ((marks[1]?.time_s ?? Number.POSITIVE_INFINITY) <= time_s - window_s) marks.shift();
  const from = marks[0];
  if (from === undefined || level_m < from.level_m || !(from.level_m >= startsAt_m)) return;
  const length_s = time_s - from.time_s;
  if (length_s < window_s || length_s > longest_s) return;
  const moves = capabilityAt(learnedBy(tracker, tracker.pumps.set).capability, from.level_m);
  if (moves === null) return;
  const risen_m3 = geometry.volume_m3(level_m) - geometry.volume_m3(from.level_m);
  flatOut.pending_m3s = Math.max(flatOut.pending_m3s, moves.flow_m3s - 2 * moves.uFlow_m3s + risen_m3 / length_s);
}

function showsSound(
  { pumpRate_m3s, discharge_m3s, uDischarge_m3s, best_m3s }: PumpNow,
  inflow_m3s: number,
  run_s: number,
) {
  if (pumpRate_m3s === null) return false;
  if ((best_m3s ?? 0) > wellBegun * pumpRate_m3s || inflow_m3s > muchInflow * pumpRate_m3s) return true;
  return run_s >= afterStart_s && (discharge_m3s ?? 0) < -faster * pumpRate_m3s - clear * uDischarge_m3s;
}
