// What the analysis takes and gives: readings in; cycles, inflow, findings and the situation of the moment out.

import type { Cycle, CycleStage, FlowEstimate } from "./cycles/cycle.ts";
import type { Ceasing, Finding, FindingChange } from "./findings/finding.ts";
import type { Reading } from "./readings/reading.ts";
import type { ReadingRows } from "./readings/reading-rows.ts";
import type { OverAll } from "./report/over-all.ts";
import type { ReportSummary } from "./report/report.ts";
import type { BudgetInput } from "./uncertainty/budget-inputs.ts";

/** Inflow over a stretch of time; stretches follow one another, and a gap stays a gap. */
export interface InflowStretch {
  readonly from_s: number;
  readonly to_s: number;
  readonly inflow_m3s: number;
  readonly uInflow_m3s: number;
}

/** Where results go, each as soon as it is known. Every handler is optional. */
export interface AnalyzerSink {
  cycle?(cycle: Cycle, stage: CycleStage): void;
  finding?(finding: Finding, change: FindingChange): void;
  inflow?(stretch: InflowStretch): void;
  gap?(gap: { readonly from_s: number; readonly to_s: number }): void;
  /** The cycles so far, and what inflow was told by them, were none: something else on the motor's line was taken for it. */
  takenBack?(): void;
}

/** What is true now. */
export interface Situation {
  /** Time of the newest reading; null before the first. */
  readonly time_s: number | null;
  readonly level_m: number | null;
  /** Known running, known resting, or unknown. */
  readonly pumpRunning: boolean | null;
  /** Which of two pumps run; null or absent where nothing tells of a second. `pumpRunning` is of either. */
  readonly pumpsRunning?: readonly [boolean | null, boolean | null] | null;
  /** Since when the pump runs or rests. */
  readonly pumpSince_s: number | null;
  readonly floatOn: boolean | null;
  readonly highFloat: boolean | null;
  readonly mainsOn: boolean | null;
  /**
   * Inflow as last measured, over the rest before or, in a run of more than a minute, from what the pump is known to move
   * and how the level goes; and what the pump moves as last measured.
   */
  readonly inflow: FlowEstimate | null;
  readonly pumpRate: FlowEstimate | null;
  /** Net rate of change of the level over the last minute or so; null without a level. */
  readonly levelRate_ms: number | null;
  /** As seen or, where whole runs fall between readings and more took place for sure, by the inflow. */
  readonly startsInLastHour: number;
  /** Findings that last. */
  readonly openFindings: readonly Finding[];
  /** Those of them that are over soon, unless their condition holds again; absent where there are none. */
  readonly ceasing?: readonly Ceasing[];
}

export interface Analyzer {
  /** Takes the next reading. Readings come in order of time; one that is older than the last is counted and left out. */
  push(reading: Reading): void;
  /** Takes rows from `from` to `to` (not included) as `push` takes one after the other, and many times as fast. */
  pushRows(rows: ReadingRows, from: number, to: number): void;
  situation(): Situation;
  /** What the readings so far say; may be asked at any time, and again. */
  summary(): ReportSummary;
  /** The same figures over many cycles, each with what its uncertainty is made of, and what is stated of the inputs. */
  overAll(): OverAll & { readonly inputs: readonly BudgetInput[] };
  /** Settles what is still open as far as the data allow. Call once, at the end of a recording. */
  finish(): void;
  /**
   * The whole state as plain data (numbers, arrays, typed arrays), fit for structured cloning: `createAnalyzer` with it
   * carries on as if it had never stopped.
   */
  snapshot(): unknown;
}

export interface AnalyzerOptions {
  readonly sink?: AnalyzerSink;
  /** From `snapshot()` of the same site. */
  readonly resume?: unknown;
}
