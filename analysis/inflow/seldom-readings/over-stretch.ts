// The inflow of a stretch in which runs and rests are hardly seen one by one: by the cycles in it, by the share of the
// readings at which the pump runs, and by what the water has risen from its first reading to its last.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { lostInSpinUp_s } from "../../pump-flow/fit-run.ts";
import type { MovesNow } from "../../pump-flow/longer-runs.ts";

/** What is known at a reading; sums are since the beginning of the readings. */
export interface Mark {
  readonly time_s: number;
  readonly volume_m3: number;
  /**
   * Time that the pump was seen to run; NaN without a signal. Of two pumps so long as one alone would have to for what those
   * moved that ran, with its standard uncertainty, of errors that all readings have alike (absent: 0).
   */
  readonly ran_s: number;
  readonly uRan_s?: number;
  /** Readings at which both of two pumps ran; absent: none. */
  readonly helped?: number;
  /** Starts by the signal; and with them the runs between two readings, of which the level tells. */
  readonly starts: number;
  readonly runs: number;
  /** Starts that are none of a cycle: the float chatters. */
  readonly flutters: number;
  /** What the pump's signal says. */
  readonly on: boolean | null;
}

export interface SparseContext {
  readonly interval_s: number;
  /** Runs and rests are read off the level. */
  readonly byLevel: boolean;
  /** Standard deviation of a reading, as rests have shown it; 0 until then. */
  readonly noise_m3: number;
  /** Between the float's levels, and up to the lower one; null when they are not known. */
  readonly active_m3: number | null;
  readonly stop_m3: number | null;
  /** Standard deviation of the volume at which a float trips; 0 until that is learned. */
  readonly scatter_m3: number;
  /** What the pump moves; null when it is not known, or not to be relied on. */
  readonly pump: () => FlowEstimate | null;
  /** What came in at the end of the latest rest that was fitted by itself; null before one was. */
  readonly rests: () => FlowEstimate | null;
  /** By so much, as a share of that, it moves more at the float's upper level and less at the lower one than midway. */
  readonly tilt: () => number;
  /** Takes what the pump has lifted in a time that it was seen to run, with the standard uncertainty of that. */
  readonly learn: (volume_m3: number, run_s: number, uRun_s: number) => void;
  /** No second pump is heard, which would make this one seem to move more or less. */
  readonly isAlone: boolean;
  /** What the pump moved until it was found to move far less; null while it was not. */
  readonly used: () => FlowEstimate | null;
  /** Takes that the pump moves otherwise than it did; by cycles that were followed `before`, null where they did not tell. */
  readonly anew: (before: FlowEstimate | null, moves: MovesNow) => void;
}

export interface PumpedByShare {
  readonly volume_m3: number;
  readonly uVolume_m3: number;
  readonly run_s: number;
}

export interface OverStretch {
  readonly inflow: FlowEstimate;
  readonly pumped: PumpedByShare;
  /** What of its uncertainty comes from when the readings fell. */
  readonly uByChance_m3s: number;
  /** Standard uncertainty of the time that the pump ran, and starts in it, where each cycle was counted. */
  readonly counted: { readonly uRan_s: number; readonly cycles: number } | null;
}

/** Cycles that last so many intervals are each seen; counted well but for this share, and for so much at the ends. */
const countable = 1.6;
const miscounted = 0.02;
const uEnds = 0.4;
/** Cycles longer than this many intervals go by one at a time. */
const eachCycle = 1.25;
/** Runs and rests longer than this many intervals are each seen. */
const surelySeen = 1.2;

/**
 * Cycles about as long as the time between readings seem far fewer than they are: then the time that the pump ran tells.
 *
 * @param first the oldest reading known, far before the stretch where there are many
 * @returns null where neither cycles nor pump tell it
 */
export function overStretch(first: Mark, from: Mark, to: Mark, context: SparseContext): OverStretch | null {
  const varies = varianceOfDraw(first, to, context.interval_s);
  const timed = byTime(from, to, varies, context);
  const bySight = context.interval_s * countable * (to.runs - from.runs) <= to.time_s - from.time_s;
  const seen = bySight ? byCount(from, to, to.runs - from.runs, varies, context) : null;
  if (timed === null) return seen;
  return seen === null || hides(timed, seen) ? timed : seen;
}

/** The one shows clearly more than the other. */
function hides({ inflow }: OverStretch, from: OverStretch): boolean {
  return inflow.flow_m3s - from.inflow.flow_m3s > 2 * Math.hypot(inflow.uFlow_m3s, from.inflow.uFlow_m3s);
}

/** Cycles that are each counted: what they filled, over the time that the pump rested. */
function byCount(
  from: Mark,
  to: Mark,
  cycles: number,
  varies: number,
  { active_m3, interval_s, pump }: SparseContext,
): OverStretch | null {
  const length_s = to.time_s - from.time_s;
  const ran_s = to.ran_s - from.ran_s;
  if (active_m3 === null || !(ran_s >= 0 && cycles > 1)) return null;
  const rested_s = length_s - ran_s;
  if (!(rested_s > ran_s)) return null;
  const risen_m3 = to.volume_m3 - from.volume_m3;
  const flow_m3s = Math.max(0, (risen_m3 + cycles * active_m3) / rested_s);
  const uRan_s = interval_s * Math.sqrt((varies * length_s) / interval_s);
  const uCount_m3s = (active_m3 * Math.hypot(uEnds, miscounted * cycles)) / rested_s;
  const uFlow_m3s = Math.hypot(uCount_m3s, (flow_m3s * uRan_s) / rested_s);
  const inflow = { flow_m3s, uFlow_m3s, degreesOfFreedom: Math.max(1, cycles) };
  return {
    inflow: maySkip(pump(), active_m3, interval_s) ? { ...inflow, unseenCourse: "least" } : inflow,
    pumped: { volume_m3: flow_m3s * length_s - risen_m3, uVolume_m3: uFlow_m3s * length_s, run_s: ran_s },
    uByChance_m3s: uFlow_m3s,
    counted: { uRan_s, cycles },
  };
}

/** Of cycles as short as this pump may make them, whole ones go by between two readings: those that seem long are then few. */
function maySkip(pump: FlowEstimate | null, active_m3: number, interval_s: number): boolean {
  // Half the time at rest and half at work, a cycle is at its shortest.
  return pump === null || 4 * active_m3 < eachCycle * interval_s * pump.flow_m3s;
}

/** What the pump moves in the time that it ran, and what the water has risen. */
function byTime(from: Mark, to: Mark, varies: number, context: SparseContext): OverStretch | null {
  const pump = context.pump();
  const length_s = to.time_s - from.time_s;
  const ran_s = to.ran_s - from.ran_s;
  if (pump === null || !(length_s > 0) || !(ran_s >= 0)) return null;
  const { active_m3, interval_s } = context;
  const risen_m3 = to.volume_m3 - from.volume_m3;
  let starts = to.starts - from.starts;
  let flow_m3s = 0;
  for (let pass = 0; pass < 3; pass += 1) {
    const wet_s = Math.max(ran_s / 2, ran_s - lostInSpinUp_s * starts);
    flow_m3s = Math.max(0, (risen_m3 + pump.flow_m3s * wet_s) / length_s);
    // Of the starts between two readings none is seen; each empties what lies between the floats.
    const rested_s = Math.max(0, length_s - ran_s);
    if (active_m3 !== null) starts = (flow_m3s * rested_s) / active_m3;
  }
  const eachSeen = active_m3 !== null && isEachSeen(active_m3, flow_m3s, pump.flow_m3s, interval_s);
  const uRan_s = eachSeen
    ? interval_s * Math.sqrt((to.starts - from.starts + 1) / 6)
    : interval_s * Math.sqrt((varies * length_s) / interval_s);
  const uByChance_m3s = (pump.flow_m3s * uRan_s) / length_s;
  const uBoth_m3s = (pump.flow_m3s * ((to.uRan_s ?? 0) - (from.uRan_s ?? 0))) / length_s;
  const uFlow_m3s = Math.hypot(uByChance_m3s, (pump.uFlow_m3s * ran_s) / length_s, uBoth_m3s);
  return {
    inflow: { flow_m3s, uFlow_m3s, degreesOfFreedom: pump.degreesOfFreedom },
    pumped: { volume_m3: flow_m3s * length_s - risen_m3, uVolume_m3: uFlow_m3s * length_s, run_s: ran_s },
    uByChance_m3s,
    counted: null,
  };
}

/** Each start and stop then lies between two readings that differ: off by up to half an interval (uniform: GUM 4.3.7). */
function isEachSeen(active_m3: number, inflow_m3s: number, pump_m3s: number, interval_s: number): boolean {
  return active_m3 > Math.max(inflow_m3s, pump_m3s - inflow_m3s) * surelySeen * interval_s;
}

/** Of whether the pump runs at a reading, each a draw as far as it is not as the one before: its part in that of their sum. */
function varianceOfDraw(from: Mark, to: Mark, interval_s: number): number {
  const readings = (to.time_s - from.time_s) / interval_s;
  const share = Math.min(readings + 1, (to.ran_s - from.ran_s) / interval_s + 1) / (readings + 2);
  const alike = Math.min(1, (to.starts - from.starts + 1) / (readings * share * (1 - share)));
  return (share * (1 - share) * (2 - alike)) / alike;
}
