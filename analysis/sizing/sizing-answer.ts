// What sizing answers, version 1: type of the JSON document `undercroft size --json` writes and the page's worksheet
// shows. Units of the contract: litres per minute, litres, millimetres, metres of head, seconds, ISO 8601 UTC. Fields are
// added, never renamed. Null is 'not known'; what would make it known stands under `missing`.

import type { SizingBackup } from "./answer/backup.ts";
import type { SizingFloats, SizingFreeboard } from "./answer/basin.ts";
import type { SizingMeasured, SizingRequired } from "./answer/demand.ts";
import type { SizingFlowRange } from "./answer/figures.ts";
import type { SizingAskFor, SizingHead, SizingPipe, SizingPump } from "./answer/lift.ts";

export const sizingSchema = "undercroft-sizing/1";

export interface SizingAnswer {
  readonly schema: typeof sizingSchema;
  readonly site: { readonly name: string; readonly display_units: "us" | "metric"; readonly timezone: string };
  readonly measured: SizingMeasured | null;
  /** Storms of the record, and how much of the truth they show. */
  readonly storms: readonly SizingStorm[] | null;
  readonly seen: SizingSeen | null;
  readonly required: SizingRequired | null;
  readonly head: SizingHead | null;
  readonly pump: SizingPump | null;
  readonly ask_for: SizingAskFor | null;
  /** Smallest first; empty where there is no discharge. */
  readonly pipes: readonly SizingPipe[];
  readonly floats: SizingFloats | null;
  readonly freeboard: SizingFreeboard | null;
  readonly backup: SizingBackup | null;
  readonly advice: readonly SizingAdvice[];
  /** Asked for, never made up. */
  readonly missing: readonly SizingMissing[];
  /** What cannot be, in words that name both figures. */
  readonly impossible: readonly string[];
  readonly assumptions: readonly string[];
  readonly cautions: readonly string[];
}

export interface SizingStorm {
  readonly from: string;
  readonly to: string;
  readonly peak_lpm: number;
  readonly u95_peak_lpm: number | null;
  /** More may have come in, at a time of which nothing is known. */
  readonly peak_at_least?: true;
  readonly peak_at: string;
  readonly volume_l: number;
  readonly rain_mm: number | null;
  readonly delay_s: number | null;
  readonly recession_s: number | null;
}

export interface SizingSeen {
  readonly enough: boolean;
  readonly days: number;
  readonly storms: number;
  readonly message: string;
  /** What is still missing: "one storm of at least 20 mm in 12 h". */
  readonly still_missing: readonly string[];
  /** Null where no storm to hold is given. */
  readonly wettest_hour: SizingWettestHour | null;
}

/** The highest hour that was logged against that of the storm to hold. */
export interface SizingWettestHour {
  readonly lpm: number;
  /** Null: rain was not logged. */
  readonly rain_mm: number | null;
  /** Null where how the inflow answers rain is not known. */
  readonly expected: SizingFlowRange | null;
  /** As its distribution spreads the rain. */
  readonly expected_rain_mm: number;
  readonly message: string;
}

export interface SizingAdvice {
  readonly about:
    | "pump-type"
    | "body"
    | "high-water-float"
    | "second-pump"
    | "solids"
    | "check-valve"
    | "pipe"
    | "backup"
    | "basin";
  readonly advice: string;
  readonly reason: string;
  /** "common practice, no source", or where it stands. */
  readonly source: string;
}

export interface SizingMissing {
  /** Key of the site file, option of the command, or what to measure. */
  readonly key: string;
  readonly what: string;
  /** What could be said with it. */
  readonly tells: string;
  /** Where to find it. */
  readonly where: string;
}
