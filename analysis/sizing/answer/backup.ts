// What must stand ready for when the mains or the pump fail.

import type { HandStep } from "./figures.ts";

export interface SizingBackup {
  /** What a standby pump must do, on the discharge as given. */
  readonly standby: { readonly lpm: number; readonly head_m: number | null; readonly words: string } | null;
  /** The battery for the hours wanted. */
  readonly battery: SizingBattery | null;
  /** How long the battery that is there, or is offered, lasts once it is old; inflow held steady but for the record. */
  readonly runtime: {
    readonly capacity_ah: number;
    readonly volts: number;
    /** From the worst moment of the record on; null: to its end, or there is no record. */
    readonly over_record: { readonly from: string; readonly s: number | null } | null;
    readonly at_peak_s: number | null;
    readonly at_storm_s: number | null;
    readonly at_mean_s: number | null;
    /** In the worst hours, while it is new. */
    readonly new_at_storm_s: number | null;
    readonly enough: boolean | null;
  } | null;
  readonly message: string;
  readonly steps: readonly HandStep[];
}

export interface SizingBattery {
  readonly hours: number;
  readonly volts: number;
  /** Drawn from the battery while the pump runs, inverter loss included. */
  readonly current_a: number;
  /** Share of the time that the pump runs. */
  readonly duty: number;
  readonly peukert_exponent: number;
  readonly rated_hours: number;
  readonly depth_of_discharge: number;
  /** What is left of the capacity at that temperature; 1 where none was given. */
  readonly temperature_factor: number;
  /** Ah at the rated hours, before and after rounding up. */
  readonly needed_ah: number;
  readonly ask_for_ah: number;
}
