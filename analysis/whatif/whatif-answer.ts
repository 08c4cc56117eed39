// What a what-if answers, version 1: type of the JSON document that `undercroft whatif --json` writes. Units of the
// contract: millimetres, litres, seconds, ISO 8601 UTC. Fields are added, never renamed. Null is 'not known'.

export const whatIfSchema = "undercroft-whatif/1";

export interface WhatIfAnswer {
  readonly schema: typeof whatIfSchema;
  readonly site: { readonly name: string; readonly display_units: "us" | "metric"; readonly timezone: string };
  /** What was replayed. */
  readonly inflow: {
    readonly of: "recording" | "design-storm" | "recording-then-design-storm";
    readonly from: string;
    readonly to: string;
    readonly played_s: number;
    readonly gaps: { readonly count: number; readonly missing_s: number; readonly choice: "leave-out" | "bridge" };
  };
  /** The recording replayed with the installation that made it, beside what really happened. */
  readonly trust: WhatIfTrust;
  /** The installation as it is first. */
  readonly rows: readonly WhatIfAnswerRow[];
  readonly notes: readonly string[];
  readonly cautions: readonly string[];
}

export interface WhatIfTrust {
  readonly recorded: TrustFigures;
  readonly replayed: TrustFigures | null;
  readonly message: string;
}

export interface TrustFigures {
  readonly highest_level_mm: number | null;
  readonly starts: number;
  readonly most_starts_in_an_hour: number;
  readonly run_s: number;
}

export interface Ranged {
  readonly value: number;
  /** 95 % coverage. */
  readonly low: number;
  readonly high: number;
}

export interface WhatIfAnswerRow {
  readonly name: string;
  /** Keys of the site file with what is expected; then there are no figures. */
  readonly missing: readonly string[];
  /** What cannot be, first of all to be read: a pump that does not lift the water. */
  readonly impossible: readonly string[];
  readonly figures: WhatIfFigures | null;
  /** What was taken for granted in this row, in words. */
  readonly assumptions: readonly string[];
}

export interface WhatIfFigures {
  readonly highest_level_mm: Ranged;
  readonly highest_at: string;
  readonly last_level_mm: number;
  /** Of runs, in which at least one pump runs; `pumps` has each pump's own. */
  readonly starts: Ranged;
  readonly most_starts_in_an_hour: number;
  /** What the motor on duty allows; null where the site file does not say. */
  readonly allowed_starts_in_an_hour: number | null;
  readonly run_s: number;
  readonly above_high_s: number | null;
  readonly overflow_l: Ranged;
  readonly overflow_from: string | null;
  readonly overflow_s: number;
  /** Those that were asked for; `power_cut_s` counts the recorded ones too. */
  readonly power_cuts: readonly { readonly from: string; readonly to: string }[];
  readonly power_cut_s: number;
  readonly battery_empty_s: number | null;
  readonly battery_empty_from: string | null;
  readonly energy_kwh: number | null;
  readonly battery_energy_kwh: number | null;
  readonly inflow_l: number;
  readonly pumped_l: number;
  readonly pumps: readonly {
    readonly name: string | null;
    readonly starts: number;
    readonly most_starts_in_an_hour: number;
    readonly run_s: number;
    readonly run_on_battery_s: number;
  }[];
  readonly start_level_mm: number;
  readonly stop_level_mm: number;
}
