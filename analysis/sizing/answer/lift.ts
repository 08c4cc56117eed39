// What the pump must overcome, whether the one that is there does, what to ask a supplier for, and the pipe.

import type { SizingVerdict } from "../../report/report.ts";
import type { HandStep, SizingFlow, SizingRatio } from "./figures.ts";

/** The head asked for at the required flow, line by line. */
export interface SizingHead {
  readonly lpm: number;
  /** Water at this level: the stop level, the greatest lift of a cycle. */
  readonly level_mm: number;
  readonly static_m: number;
  /** With the water at the start level: the least lift. */
  readonly static_at_start_m: number | null;
  readonly friction_m: number;
  readonly total_m: number;
  /** Of the total: from that of the required flow, and from what is published of fittings and pipe. */
  readonly u95_total_m: number | null;
  /** The same by Hazen and Williams, to compare with tables that go by it; null where a pipe has no published C. */
  readonly hazen_williams: {
    /** Of each pipe, each once. */
    readonly c: readonly number[];
    readonly friction_m: number;
    readonly total_m: number;
    readonly source: string;
  } | null;
  readonly lines: readonly SizingHeadLine[];
}

export interface SizingHeadLine {
  /** "6 × elbow, 90°", "22 ft of 1-1/2 in PVC schedule 40". */
  readonly what: string;
  readonly kind: "lift" | "pipe" | "fitting";
  readonly count: number | null;
  /** Loss coefficient of one; null for lift and pipe. */
  readonly k: number | null;
  readonly length_m: number | null;
  readonly inside_diameter_mm: number | null;
  readonly velocity_ms: number | null;
  readonly head_m: number;
  /** Formula, and where its figures come from. */
  readonly source: string;
}

/** Where a pump works with the water at one level. */
export interface SizingDuty {
  readonly level_mm: number;
  readonly lpm: number;
  readonly head_m: number;
  readonly velocity_ms: number;
}

export interface SizingPump {
  readonly name: string | null;
  /** By curve and discharge; null where either is not given, or where they do not meet. */
  readonly duty: { readonly at_start: SizingDuty | null; readonly at_stop: SizingDuty | null };
  /** What it moves with the water at the stop level: as measured, else by its curve. Of two, with one failed. */
  readonly moves: SizingFlow | null;
  readonly moves_by: "measured" | "curve" | null;
  readonly verdict: SizingVerdict;
  /** The verdict in a sentence that names both figures. */
  readonly message: string;
  /** What it moves over the measured peak, as in the contract's report. */
  readonly margin: SizingRatio | null;
  /** What it moves over the required flow: above 1 it is enough. */
  readonly over_required: SizingRatio | null;
  readonly input_power_w: number | null;
  readonly energy_kwh_per_year: number | null;
  /** Of a mean run, as logged; null where the power is not known, or it never ran. */
  readonly energy_wh_per_cycle: number | null;
  /** Another day, water at the stop level; null without curve and discharge. */
  readonly worn: SizingLater | null;
  readonly clogged: SizingLater | null;
  readonly steps: readonly HandStep[];
}

/** What it would move once it is worn, or the pipe narrowed by deposit. */
export interface SizingLater {
  /** Null where the curves no longer meet. */
  readonly lpm: number | null;
  /** For the required flow; null where that is not known. */
  readonly enough: boolean | null;
  /** "worn (moves 80 % of its flow at the same head): moves 28.9 gpm, still enough for the 16.5 gpm required". */
  readonly message: string;
}

/** The smallest rating to ask a supplier for; never a brand. */
export interface SizingAskFor {
  readonly lpm: number;
  readonly head_m: number;
  /** "at least 48 gpm at 11 ft": rounded up in the site's own units. */
  readonly words: string;
  /** At the upper end of the required flow's interval. */
  readonly to_be_sure: { readonly lpm: number; readonly head_m: number; readonly words: string } | null;
  /** Its head at no flow must be above this. */
  readonly shut_off_above_m: number;
  /** More than this short-cycles in the basin as it is; null where active volume or allowed starts are not known. */
  readonly at_most_lpm: number | null;
  /** Hydraulic power at that point: a check on what is offered. */
  readonly hydraulic_w: number;
  readonly steps: readonly HandStep[];
}

export interface SizingPipe {
  /** "1-1/2 in PVC schedule 40". */
  readonly label: string;
  readonly inside_diameter_mm: number;
  /** The one that is there. */
  readonly present: boolean;
  /** At the required flow, water at the stop level. */
  readonly required: {
    readonly velocity_ms: number;
    readonly friction_m: number;
    readonly total_m: number;
  } | null;
  /** Of the present pump with this pipe, water at the stop level. */
  readonly duty: SizingDuty | null;
  /** Against the present pipe: less head at the required flow, more flow, and less energy in a year. Negative: it costs. */
  readonly saves: {
    readonly head_m: number | null;
    readonly more_lpm: number | null;
    readonly energy_kwh_per_year: number | null;
  } | null;
  /** Of the duty flow, else the required one. */
  readonly velocity: "too-slow" | "good" | "fast" | "too-fast" | null;
  readonly message: string;
}
