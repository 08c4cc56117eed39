// What a replay comes to, and how it is counted as it goes on.

export interface PumpOutcome {
  readonly name: string | null;
  readonly starts: number;
  readonly mostStartsInAnHour: number;
  readonly run_s: number;
  readonly runOnBattery_s: number;
}

export interface ReplayOutcome {
  readonly from_s: number;
  readonly to_s: number;
  /** Time that was played: the span less what was left out of it. */
  readonly played_s: number;
  readonly highestLevel_m: number;
  readonly highestAt_s: number;
  readonly lastLevel_m: number;
  /** Of runs, in which at least one pump runs; `pumps` has each pump's own. */
  readonly starts: number;
  readonly mostStartsInAnHour: number;
  /** In which at least one pump ran. */
  readonly run_s: number;
  /** At or above high water; null where no such level is given. */
  readonly aboveHigh_s: number | null;
  readonly overflow_m3: number;
  /** Null: it never ran over. */
  readonly overflowFrom_s: number | null;
  readonly overflow_s: number;
  readonly powerCut_s: number;
  /** The mains out and the battery empty; null without a battery. */
  readonly batteryEmpty_s: number | null;
  readonly batteryEmptyFrom_s: number | null;
  readonly inflow_m3: number;
  readonly pumped_m3: number;
  readonly returned_m3: number;
  /** From the mains, from the battery; null where the draw is unknown. */
  readonly energy_j: number | null;
  readonly batteryEnergy_j: number | null;
  readonly pumps: readonly PumpOutcome[];
}

const hour_s = 3600;

/** The most times that lie within an hour; the hour is open at its beginning, as everywhere in the analysis. */
export function mostInAnHour(times_s: readonly number[]): number {
  let most = 0;
  let first = 0;
  for (let last = 0; last < times_s.length; last += 1) {
    while ((times_s[first] as number) <= (times_s[last] as number) - hour_s) first += 1;
    most = Math.max(most, last - first + 1);
  }
  return most;
}
