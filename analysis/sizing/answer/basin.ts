// What the basin does with pump and inflow: floats, starts, and how long until water reaches the floor.

import type { HandStep, SizingFlow, SizingTime, SizingVolume } from "./figures.ts";

export interface SizingFloats {
  /** Between stop and start level as they are. */
  readonly active: (SizingVolume & { readonly from: "measured" | "geometry" }) | null;
  /** The flow that the pump moves in these sums. */
  readonly pump_lpm: number;
  readonly allowed_starts_per_hour: number | null;
  /** Where the figure of allowed starts comes from, when the site file gives none it is null and nothing is said. */
  readonly needed: {
    /** The greater of the two below. */
    readonly volume_l: number;
    /** V = T·Q/4: the worst inflow is half of what the pump moves; null where allowed starts are not given. */
    readonly for_starts_l: number | null;
    /** Shortest run allowed times what the pump moves; null where that is not given. */
    readonly for_run_l: number | null;
    /** With two pumps that take turns, half of that for the starts. */
    readonly alternating_l: number;
    /** Shortest cycle allowed, T; null as above. */
    readonly cycle_s: number | null;
    readonly enough: boolean;
  } | null;
  /** Starts in an hour at the inflow that makes most of them, half of what the pump moves. */
  readonly most_starts_per_hour: number | null;
  /** Run with no inflow at all: the shortest there is. */
  readonly shortest_run_s: number | null;
  readonly min_run_s: number | null;
  readonly run_long_enough: boolean | null;
  /** Levels that give the volume needed in this basin; null where no such levels fit, or too little is known. */
  readonly set: {
    readonly stop_mm: number;
    readonly start_mm: number;
    readonly high_mm: number | null;
    readonly active_l: number;
    readonly starts_per_hour: number;
    readonly run_s: number;
  } | null;
  /** What stands against levels that would do: "the start level would stand over the inlet". */
  readonly message: string;
  readonly raise_start: SizingRaise | null;
  /** At the inflows that were seen, and at the worst one for the starts. */
  readonly cycles: readonly SizingCycle[];
  readonly steps: readonly HandStep[];
}

/** What raising the start level by an inch would do; by 25 mm where the site shows metric units. */
export interface SizingRaise {
  /** The inflow that it is reckoned with: the record stretch by stretch, or one figure held steady. */
  readonly at: "record" | "mean" | "peak";
  readonly by_mm: number;
  readonly start_mm: number;
  /** False where that would bring it over the inlet or within reach of the high-water level. */
  readonly fits: boolean;
  readonly starts_per_day: number;
  readonly starts_per_day_then: number;
  /** Null where it is not known how the inflow goes with the level. */
  readonly pumped_l_per_day: number | null;
  readonly pumped_l_per_day_then: number | null;
}

export interface SizingCycle {
  /** "at the mean inflow". */
  readonly when: string;
  readonly inflow_lpm: number;
  /** Null: it never fills, or never empties. */
  readonly fill_s: number | null;
  readonly run_s: number | null;
  readonly cycle_s: number | null;
  readonly starts_per_hour: number | null;
}

export interface SizingFreeboard {
  readonly overflow_mm: number;
  readonly cases: readonly {
    readonly when: "peak" | "design-storm" | "mean" | "dry";
    readonly inflow: SizingFlow;
    /** From the start level, where the pump should have started: the shortest. */
    readonly from_start: { readonly level_mm: number; readonly volume: SizingVolume; readonly time: SizingTime } | null;
    /** From the stop level, just pumped down: the longest. */
    readonly from_stop: { readonly level_mm: number; readonly volume: SizingVolume; readonly time: SizingTime } | null;
    /** From the high-water level, where an alarm would sound: the time left to act on it. */
    readonly from_high: { readonly level_mm: number; readonly volume: SizingVolume; readonly time: SizingTime } | null;
  }[];
  readonly steps: readonly HandStep[];
}
