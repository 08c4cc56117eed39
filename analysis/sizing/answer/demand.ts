// What came in, and what must be reckoned with: the demand side of the sizing answer.

import type { PeakWindow } from "../../report/report.ts";
import type { HandStep, SizingFlow, SizingFlowRange } from "./figures.ts";

export interface SizingMeasured {
  /** By a hand test, or logged over days. */
  readonly by: "hand" | "logged";
  readonly from: string | null;
  readonly to: string | null;
  /** Logged, gaps left out; null by hand. */
  readonly days: number | null;
  readonly mean: SizingFlow | null;
  /** By hand: what the test showed stands under every window that it is taken for, without a time. */
  readonly peak: Readonly<Record<PeakWindow, (SizingFlow & { readonly at: string | null }) | null>>;
  readonly starts: number | null;
  readonly most_starts_in_an_hour: number | null;
  /** Runs beside these that no signal told of, as in the report; absent: none. */
  readonly unwatched_runs?: number;
  readonly run_s: number | null;
  readonly pumped_l: number | null;
  /** Change of the inflow with a metre more of water in the basin, as a share of it: −0.3 is 30 % less; null: not known. */
  readonly inflow_per_level: { readonly per_m: number; readonly u95_per_m: number } | null;
  readonly hand: SizingHandTest | null;
}

/** The hand test, repeat by repeat. */
export interface SizingHandTest {
  readonly repeats: readonly {
    readonly rise_mm: number;
    readonly watched_s: number;
    readonly volume_l: number;
    readonly lpm: number;
    /** Of this repeat by itself: ruler, watch, basin. */
    readonly u95_lpm: number;
  }[];
  readonly inflow: SizingFlow;
  /** Watch so long for each repeat, to know the inflow to this share of it; null where no length of time gives that. */
  readonly watch_s: number | null;
  readonly wanted_percent: number;
  readonly enough: boolean;
  readonly steps: readonly HandStep[];
  /** What to do next, or that it is enough. */
  readonly message: string;
}

export interface SizingRequired {
  /** `u95_lpm` is null where the design storm governs: its range, under `design_storm`, is not the same to both sides. */
  readonly flow: SizingFlow;
  /** Which of the two asks for more. */
  readonly governs: "allowance" | "design-storm";
  readonly why: string;
  readonly allowance: {
    readonly peak: SizingFlow;
    /** Window of the peak; null for a hand test. */
    readonly window_s: number | null;
    readonly factor: number;
    readonly flow: SizingFlow;
  } | null;
  readonly design_storm: {
    readonly depth_mm: number;
    readonly duration_s: number;
    readonly distribution: string;
    readonly inflow: SizingFlowRange;
  } | null;
  readonly steps: readonly HandStep[];
}
