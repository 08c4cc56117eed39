// What a scenario is: how its basin is drawn for a seed, and what it is judged by.

import type { FindingKind } from "../../analysis/findings/finding.ts";
import type { Plan } from "./plan.ts";
import type { Random } from "./random.ts";

export const groups = ["limit", "water", "sensor", "channels", "rows", "storm", "sick", "year"] as const;

export interface Scenario {
  readonly name: string;
  readonly group: (typeof groups)[number];
  draw(random: Random): Plan;
  /** Findings that the truth itself must come to show. */
  readonly must: readonly FindingKind[];
  /** What a finding should give as its cause, where the truth has one. */
  readonly causes?: Partial<Record<FindingKind, readonly string[]>>;
  readonly judge: {
    /** Every run is to be found. */
    readonly cycles: boolean;
    /** The inflow's and the pump's intervals are to cover the truth. */
    readonly flows: boolean;
    /**
     * Not noise but how well levels are known makes the error: one for all fills of a basin, so that an interval that is
     * right covers all of them nearly always.
     */
    readonly constantError: boolean;
    /** White noise and steady inflow: held against the Cramér–Rao bound. */
    readonly bound: "clean" | "spikes" | null;
    /** The rolling peaks are to be met. */
    readonly peaks: boolean;
  };
}

export const judgedByAll: Scenario["judge"] = {
  cycles: true,
  flows: true,
  constantError: false,
  bound: null,
  peaks: false,
};

/** A healthy scenario has nothing that must be found. */
export function isHealthy({ must }: Scenario): boolean {
  return must.length === 0;
}
