// The columns of a cycle that say which of two pumps ran and what the motor drew. What is not known stays away from the
// cycle, as in one that comes fresh from the analysis.

import type { Cycle, PumpShares, RunningLoad } from "../../../analysis/cycles/cycle.ts";
import { number, numberOrNull, type Row } from "./row.ts";

export const pumpColumns = [
  ...["pump1_s", "pump2_s", "both_s", "rateOf"],
  ...["runningCurrent_a", "sdRunningCurrent_a", "runningPower_w", "sdRunningPower_w"],
];

type PumpSide = Pick<Cycle, "pumps" | "runningCurrent" | "runningPower">;

/** In the order of the columns. */
export function pumpValues({ pumps, runningCurrent, runningPower }: PumpSide): (number | null)[] {
  const shares =
    pumps == null
      ? [null, null, null, null]
      : [pumps.pump1_s, pumps.pump2_s, pumps.both_s, pumps.rateOf === "both" ? 3 : pumps.rateOf];
  return [...shares, ...loadValues(runningCurrent), ...loadValues(runningPower)];
}

export function pumpSideOf(row: Row): PumpSide {
  const pumps = sharesOf(row);
  const runningCurrent = loadOf(row.runningCurrent_a, row.sdRunningCurrent_a);
  const runningPower = loadOf(row.runningPower_w, row.sdRunningPower_w);
  return {
    ...(pumps !== null && { pumps }),
    ...(runningCurrent !== null && { runningCurrent }),
    ...(runningPower !== null && { runningPower }),
  };
}

function loadValues(load: RunningLoad | null | undefined): (number | null)[] {
  return load == null ? [null, null] : [load.mean, load.standardDeviation];
}

function loadOf(mean: Row[string] | undefined, spread: Row[string] | undefined): RunningLoad | null {
  return numberOrNull(mean) === null ? null : { mean: number(mean), standardDeviation: numberOrNull(spread) };
}

function sharesOf(row: Row): PumpShares | null {
  if (numberOrNull(row.pump1_s) === null) return null;
  const rateOf = numberOrNull(row.rateOf);
  return {
    pump1_s: number(row.pump1_s),
    pump2_s: number(row.pump2_s),
    both_s: number(row.both_s),
    rateOf: rateOf === 3 ? "both" : rateOf === 1 || rateOf === 2 ? rateOf : null,
  };
}
