// The report that leaves the project, version 1: types of the JSON document, in the units of the contract
// (litres per minute, litres, millimetres, ISO 8601 UTC). Fields are added, never renamed.

import type { FindingKind, Severity } from "../findings/finding.ts";

export const reportSchema = "undercroft-report/1";

export interface ReportFlow {
  readonly lpm: number;
  /** Half-width of the interval that covers the true value with 95 % probability. */
  readonly u95_lpm: number;
}

export interface ReportCycle {
  readonly started_at: string;
  readonly stopped_at: string;
  readonly run_s: number;
  readonly rest_s: number | null;
  readonly start_level_mm: number | null;
  readonly stop_level_mm: number | null;
  readonly inflow: (ReportFlow & { readonly method: "fill-slope" | "active-volume" }) | null;
  readonly pump_rate: ReportFlow | null;
  readonly drain_back_l: number | null;
  /** Mean over the run, its first second left out, and the readings' standard deviation. */
  readonly running_current_a: number | null;
  readonly running_current_sd_a: number | null;
  readonly running_power_w: number | null;
  readonly running_power_sd_w: number | null;
  /** Which of two pumps ran; null with one. */
  readonly pumps: ReportShares | null;
}

export interface ReportShares {
  /** Time with the other pump running too included. */
  readonly pump1_s: number;
  readonly pump2_s: number;
  readonly both_s: number;
  /** Whose flow `pump_rate` is: the pumps that ran together for the longest part of the run. */
  readonly rate_of: 1 | 2 | "both" | null;
}

/** One of two pumps; null is 'not known'. */
export interface ReportPump {
  /** As the site file calls it. */
  readonly name: string | null;
  readonly starts: number | null;
  readonly run_s: number | null;
  readonly most_starts_in_an_hour: number | null;
  /** What it moves by itself. */
  readonly rate: ReportFlow | null;
}

export interface ReportFinding {
  readonly kind: FindingKind;
  readonly severity: Severity;
  readonly from: string;
  readonly to: string | null;
  readonly evidence: Readonly<Record<string, number | string | boolean | null>>;
  readonly message: string;
}

export type PumpVerdict = "as-published" | "less-than-published" | "more-than-published" | "not-enough-data";

/** What the pump (of two, the first) moves as the level falls, against its published curve on the discharge as given. */
export interface ReportPumpCurve {
  /** Between the lowest and the highest level at which it was measured, rising; empty without a level. */
  readonly curve: readonly {
    readonly level_mm: number;
    readonly lift_m: number | null;
    readonly lpm: number;
    readonly u95_lpm: number;
  }[];
  /** At the same levels; empty where curve or discharge is not given. */
  readonly expected: readonly { readonly level_mm: number; readonly lpm: number; readonly head_m: number }[];
  /** How much more a metre less of lift gives, as the runs alone show it. */
  readonly steepness_lpm_per_m: {
    readonly measured: number;
    readonly u95: number;
    readonly expected: number | null;
  } | null;
  /** Expected less measured flow, and the head that is lost and that nothing given explains, at the runs' mean level. */
  readonly shortfall_lpm: number | null;
  readonly shortfall_u95_lpm: number | null;
  readonly extra_head_m: number | null;
  readonly extra_head_u95_m: number | null;
  readonly verdict: PumpVerdict;
  readonly message: string;
}

/** Where the pump has been seen to start and stop, by the level sensor; of two pumps, the first. */
export interface ReportFloatTrips {
  readonly start_level_mm: number;
  readonly stop_level_mm: number;
  /** Over what the site file states; null where it states none. */
  readonly start_off_mm: number | null;
  readonly stop_off_mm: number | null;
  /** What to check where they differ; null where they do not. */
  readonly message: string | null;
}

export type PeakWindow = "60" | "600" | "3600";

export interface ReportPeak extends ReportFlow {
  readonly at: string;
  /** More came in than could be measured, or may have. */
  readonly at_least?: true;
  /** Beside `at_least`, where no more can have come in than this: without a level only the volume between the floats is known. */
  readonly at_most_lpm?: number;
}

export type SizingVerdict = "adequate" | "marginal" | "undersized" | "not-enough-data";

export interface ReportSizing {
  readonly verdict: SizingVerdict;
  readonly required_lpm: number | null;
  readonly static_head_m: number | null;
  readonly friction_head_m: number | null;
  readonly total_dynamic_head_m: number | null;
  readonly duty_point: { readonly lpm: number; readonly head_m: number } | null;
  readonly margin: number | null;
  /**
   * Only with two pumps: what is moved with one failed (the first pump alone; of two that take turns, the weaker), on
   * which verdict and margin stand; and what both move together.
   */
  readonly firm_capacity_lpm?: number | null;
  readonly both_capacity_lpm?: number | null;
}

/** All of the report but its cycles, which stream out one at a time. */
export interface ReportSummary {
  readonly schema: typeof reportSchema;
  readonly span: {
    readonly start: string | null;
    readonly end: string | null;
    readonly rows: number;
    readonly gaps: readonly { readonly from: string; readonly to: string }[];
    /** How many older ones are not listed, if any. */
    readonly gaps_left_out?: number;
  };
  readonly inflow: {
    /** Time-weighted over the span that was observed. */
    readonly mean_lpm: number | null;
    readonly mean_u95_lpm: number | null;
    /** As of the peaks below: more came in than could be measured. */
    readonly mean_at_least?: true;
    /**
     * `at_least`: water stood at the rim for some time, where no level shows how much more came; or a storm came while
     * readings were too far apart to follow it; or a second pump may have run that nothing tells of; or nothing is known of some
     * of the window, or of a time beside which as much came in; or, of the hour's, taps were made up for between readings.
     */
    readonly peak: Readonly<Record<PeakWindow, ReportPeak | null>>;
  };
  readonly totals: {
    /** As seen; by the inflow where whole runs fell between readings and there were surely more, as `most_starts_in_an_hour`. */
    readonly starts: number;
    /** Runs beside taps were made up for between readings: others went by unseen, and some of these may never have been. */
    readonly starts_about?: true;
    readonly run_s: number;
    readonly pumped_l: number | null;
    readonly pumped_u95_l: number | null;
    readonly pumped_about?: true;
    readonly most_starts_in_an_hour: number;
    /**
     * Runs that the level alone shows, while the pump's signal said that it rests; absent: none. They are in no cycle, nor in
     * starts and time run, but what they moved is in `pumped_l`.
     */
    readonly unwatched_runs?: number;
  };
  /** Absent before anything is known of what the pump moves. */
  readonly pump?: ReportPumpCurve;
  /** Absent before it is known, and without a level. */
  readonly floats?: ReportFloatTrips;
  /** Only with two pumps, the one on duty first. */
  readonly pumps?: readonly [ReportPump, ReportPump];
  readonly findings: readonly ReportFinding[];
  /** How many older ones are not listed, if any. */
  readonly findings_left_out?: number;
  readonly sizing: ReportSizing;
}

export interface Report extends ReportSummary {
  readonly cycles: readonly ReportCycle[];
}
