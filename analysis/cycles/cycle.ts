// A pump cycle: the rest in which the basin filled, then the run that emptied it.

import type { OtherParts } from "../uncertainty/parts.ts";

/** A flow with its standard uncertainty (GUM, JCGM 100:2008) and the degrees of freedom behind it. */
export interface FlowEstimate {
  readonly flow_m3s: number;
  /** Standard uncertainty. */
  readonly uFlow_m3s: number;
  /** Effective degrees of freedom; Infinity for a purely Type B figure. */
  readonly degreesOfFreedom: number;
  /** What of `uFlow_m3s` does not come from the sensor's noise; absent when all of it does. */
  readonly parts?: OtherParts;
  /** Of it, what is off alike in every run: how inflow is carried on to where no reading shows it. Absent: nothing is. */
  readonly uAlike_m3s?: number;
  /** Beside `uFlow_m3s`, of a moment of a rest whose mean that is of: how far off the bends may be; absent: 0. */
  readonly uBend_m3s?: number;
  /** Of the volume up to its end, of all parts of the estimate until then; absent: no better known than by theirs. */
  readonly uUpTo_m3?: number;
  /**
   * What of it may prove to be no inflow at all; absent: nothing. Beside a leap there may be what runs back together with
   * it. See `inflow/over-time/doubted.ts`.
   */
  readonly doubt?: { readonly kind: "returned" | "leapt"; readonly flow_m3s: number; readonly beside_m3s?: number };
  /**
   * Where no level shows how it came in: `all-of-it`, a volume that may have come at any time of the stretch; `least`, as
   * much as the pump must have moved, and more may have come. Absent: it is seen.
   */
  readonly unseenCourse?: "all-of-it" | "least";
}

export type InflowMethod = "fill-slope" | "active-volume";

/** What a motor drew over a run, its first second left out: mean of the readings and their standard deviation. */
export interface RunningLoad {
  readonly mean: number;
  /** Null of one reading. */
  readonly standardDeviation: number | null;
}

/** Which of two pumps ran in a run, and for how long. */
export interface PumpShares {
  /** Time with the other pump running too included. */
  readonly pump1_s: number;
  readonly pump2_s: number;
  readonly both_s: number;
  /** Whose flow `pumpRate` is: of the pumps that ran together for the longest part of the run; null when it is unknown. */
  readonly rateOf: 1 | 2 | "both" | null;
}

export interface Cycle {
  readonly startedAt_s: number;
  readonly stoppedAt_s: number;
  readonly run_s: number;
  /** From the stop before; null for the first and across a gap. */
  readonly rest_s: number | null;
  /** Null without a level. */
  readonly startLevel_m: number | null;
  readonly stopLevel_m: number | null;
  /** Mean over the rest before the run, returned water left out. */
  readonly inflow: (FlowEstimate & { readonly method: InflowMethod }) | null;
  /** Mean flow through the pump once it was up to speed, inflow included. */
  readonly pumpRate: FlowEstimate | null;
  /** Returned through the check valve after the stop; null if unknown, also until the rest after it has ended. */
  readonly drainBack_m3: number | null;
  /** Null or absent when there is no second pump, or its state is unknown. */
  readonly pumps?: PumpShares | null;
  /** In A and W; null or absent when it was not read while a signal said that the pump runs. */
  readonly runningCurrent?: RunningLoad | null;
  readonly runningPower?: RunningLoad | null;
}

/**
 * `stopped`: the pump has just stopped; figures that need the rest after it are still null or provisional.
 * `settled`: that rest has ended (or the data did); the figures are final. Same `startedAt_s` both times.
 */
export type CycleStage = "stopped" | "settled";
