// What a candidate is: an installation as a person would describe it, and what is known of the one that is there. How it
// becomes something to replay is build-installation.ts.

import type { Site } from "../site.ts";
import type { MeasuredFlows } from "./flow-by-level.ts";
import type { NoDuty } from "./no-duty.ts";
import type { Anchor } from "./replay.ts";

/** What a recording has taught of the installation that made it. */
export interface KnownInstallation {
  readonly site: Site;
  /** Of each pump by itself; empty where it is not known. */
  readonly flows: readonly MeasuredFlows[];
  /** Of two pumps together. */
  readonly together: MeasuredFlows;
  /** Where the float of the pump on duty really closes and opens, and how far a start strays; null without a level. */
  readonly floats: { readonly start_m: number; readonly stop_m: number; readonly scatter_m: number } | null;
  /** When each run began and ended, and the level at which it did; empty without a level. */
  readonly turns: readonly Anchor[];
  /** Two pumps were seen to take the duty in turns. */
  readonly takesTurns: boolean;
  /** Runs back after a stop. */
  readonly returned_m3: number | null;
  /** A start moves as much less as if nothing moved for so long. */
  readonly spinUp_s: number | null;
  /** What the pump on duty draws while it runs. */
  readonly power_w: number | null;
}

export interface OnBattery {
  /** Which pump it feeds: 0 the one on duty, 1 its standby. */
  readonly pump: 0 | 1;
  /** The pump has no other supply. */
  readonly only: boolean;
  /** Share of full speed at which it runs from the battery. */
  readonly speed: number;
  /** From empty to full on the mains; null: it is not charged during the replay. */
  readonly charges_s: number | null;
}

/** For so long, at a time or whenever it hurts this candidate most. */
export interface PlannedCut {
  readonly lasts_s: number;
  readonly at_s: number | "worst";
}

export interface WhatIfPlan {
  readonly name: string;
  readonly site: Site;
  /** Two pumps take the duty in turns; null: as the record shows. */
  readonly takesTurns: boolean | null;
  readonly cuts: readonly PlannedCut[];
  readonly onBattery: OnBattery;
  /** Ground water stands so high: the inflow goes to nothing there. Null: it comes in whatever the level. */
  readonly groundHead_m: number | null;
}

export const batteryAsUsual: OnBattery = { pump: 0, only: false, speed: 1, charges_s: null };

/** Where a replay's figures come from, to be said beside them. */
export interface Grounds {
  /**
   * `measured`: as it was measured; `published`: by its curve on the discharge; `published-as-measured`: by its curve,
   * lowered by what it was measured to lack on the present discharge.
   */
  readonly flow: "measured" | "published" | "published-as-measured";
  readonly startFrom: "measured" | "given";
  readonly stopFrom: "measured" | "given";
  readonly start_m: number;
  readonly stop_m: number;
  /** Where a pump has no duty point. */
  readonly noDuty: readonly NoDuty[];
  readonly returned_m3: number;
  readonly spinUp_s: number;
  /** How long the battery runs the pump; null without one. */
  readonly batteryRun_s: number | null;
  /** Of the motor of the pump on duty; null where it is not given. */
  readonly allowedStartsPerHour: number | null;
  readonly noOverflowLevel: boolean;
}
