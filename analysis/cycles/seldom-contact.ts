// What a contact that is asked too seldom to time the runs adds to a level that shows a fall late: a sensor may say the same
// again and again while the pump runs, and after it.

import { countUpTo, type TurningLevel } from "./level-turns.ts";
import { type WaitingSamples, waitingSmooth_m, waitingTime_s } from "./waiting-samples.ts";

/** The latest readings at which the contact said that the pump runs: from the first to the first after them, or the latest. */
export interface SaidToRun {
  readonly from_s: number;
  readonly to_s: number;
  readonly over: boolean;
}

/** The level is still at its highest, to the last digit, at or after a reading at which the contact said that the pump runs. */
export function standsWhileSaid(
  { extreme_m, extremeAt_s }: TurningLevel,
  said: SaidToRun | null,
  time_s: number,
  smooth_m: number,
): boolean {
  return said !== null && smooth_m === extreme_m && extremeAt_s < said.from_s && said.from_s <= time_s;
}

export interface RunAsSaid {
  readonly startedAt_s: number;
  /** Null where the fall shows before the contact has said that the pump rests again. */
  readonly stoppedAt_s: number | null;
  /** How many of those that wait were read before the start, and how many before the fall shows. */
  readonly before: number;
  readonly stood: number;
}

/** Start and stop of a run, of which the level shows the fall late; null where it did not stand still while the pump ran. */
export function runAsSaid({ waiting, extreme_m, extremeAt_s }: TurningLevel, said: SaidToRun | null): RunAsSaid | null {
  if (said === null || !(extremeAt_s < said.from_s)) return null;
  const before = countUpTo(waiting, said.from_s) - 1;
  const level_m = waitingSmooth_m(waiting, before);
  let stood = before;
  while (waitingSmooth_m(waiting, stood) === level_m) stood += 1;
  // Among the readings of a fall one alone is always like itself.
  if (stood - before < (level_m === extreme_m ? 1 : 2)) return null;
  const isOver = said.over && said.to_s <= waitingTime_s(waiting, stood - 1);
  return {
    startedAt_s: middle_s(waiting, said.from_s),
    stoppedAt_s: isOver ? middle_s(waiting, said.to_s) : null,
    before,
    stood,
  };
}

/** Between the reading at `time_s` and the one before it. */
function middle_s(waiting: WaitingSamples, time_s: number): number {
  return (waitingTime_s(waiting, countUpTo(waiting, time_s) - 2) + time_s) / 2;
}
