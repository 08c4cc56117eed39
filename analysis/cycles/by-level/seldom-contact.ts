// What a contact that is asked too seldom to time the runs adds to a level that shows a fall late: a sensor may say the same
// again and again while the pump runs, and after it.

import { waitingSmooth_m, waitingTime_s } from "../waiting-samples.ts";
import type { TurningLevel } from "./level-turns.ts";
import { countBefore } from "./turn-as-told.ts";

/** The latest readings at which the contact said that the pump runs: from the first to the first after them, or the latest. */
export interface SaidToRun {
  readonly from_s: number;
  readonly to_s: number;
  readonly over: boolean;
  /** Runs are so long that each holds a reading; absent: some may hold none. */
  readonly seesEach?: boolean;
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

/** Of wrong levels hardly ever so many come one after the other. */
const staysDown = 4;

/**
 * A fall of which a contact that sees each run has heard nothing, and that may be over at once: so it is with two wrong levels
 * in a row. One that lasts is a run all the same, for the contact may be dead.
 */
export function deniedByContact(
  { waiting, extreme_m, extremeAt_s }: TurningLevel,
  said: SaidToRun | null,
  fall_m: number,
): boolean {
  if (said?.seesEach !== true || !said.over || said.to_s > extremeAt_s) return false;
  if (waiting.count < staysDown) return true;
  for (let i = waiting.count - staysDown; i < waiting.count; i += 1)
    if (extreme_m - waitingSmooth_m(waiting, i) < fall_m) return true;
  return false;
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
  const before = countBefore(waiting, said.from_s);
  const level_m = waitingSmooth_m(waiting, before);
  let stood = before;
  while (waitingSmooth_m(waiting, stood) === level_m) stood += 1;
  // Among the readings of a fall one alone is always like itself.
  if (stood - before < (level_m === extreme_m ? 1 : 2)) return null;
  const isOver = said.over && said.to_s <= waitingTime_s(waiting, stood - 1);
  const lastRest_s = before === 0 ? extremeAt_s : waitingTime_s(waiting, before - 1);
  const ran = countBefore(waiting, said.to_s);
  // Readings at which it said so may have had no level.
  const lastRun_s = ran > before ? waitingTime_s(waiting, ran - 1) : said.from_s;
  return {
    startedAt_s: (lastRest_s + said.from_s) / 2,
    stoppedAt_s: isOver ? (lastRun_s + said.to_s) / 2 : null,
    before,
    stood,
  };
}

/** The contact has said that the pump runs since before the level was at its lowest, and says so still. */
export function runsOnAsSaid({ extremeAt_s }: TurningLevel, said: SaidToRun | null): boolean {
  return said !== null && !said.over && said.from_s <= extremeAt_s;
}

/** So many readings after the lowest, at which the contact still said 'runs', are no turn that noise has moved. */
const fewestAfterLowest = 2;

/** The stop of a run that went on while the level stood at its lowest, and how many of those that wait lie before it. */
export function stopAsSaid(
  { waiting, extremeAt_s }: TurningLevel,
  said: SaidToRun | null,
): { readonly at_s: number; readonly before: number } | null {
  if (said === null || !said.over || !(said.from_s <= extremeAt_s)) return null;
  const before = countBefore(waiting, Math.min(said.to_s, waitingTime_s(waiting, waiting.count - 1)));
  const lowest = countBefore(waiting, extremeAt_s) + 1;
  return before - lowest < fewestAfterLowest
    ? null
    : { at_s: (waitingTime_s(waiting, before - 1) + said.to_s) / 2, before };
}
