// The interface of a rule: when a finding is true, for how long it must be so, and what to tell the person.

import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import type { PumpComparison } from "../inflow/pump-history.ts";
import type { Peak } from "../inflow/rolling-peaks.ts";
import type { LevelProblem } from "../readings/level-screen.ts";
import type { TripLevelsState } from "../readings/trip-levels.ts";
import type { Site } from "../site.ts";
import type { Evidence, Finding, FindingKind, Severity } from "./finding.ts";

/** What a rule may look at: the site, what is true at a reading, and what the cycles have shown. */
export interface View {
  readonly site: Site;
  time_s: number;
  /** Freed of single spikes. */
  level_m: number | null;
  pumpRunning: boolean | null;
  /** The pump's state is read off the level, not off a contact, a motor's load or a float. */
  pumpInferred: boolean;
  /** Readings come closely enough to show what happens within a run. */
  closelyRead: boolean;
  /** The pump's signal has stood still while the level went up and down. */
  pumpSignalDead: boolean;
  /** How long the pump has been in that state; 0 when it is unknown. */
  pumpStateFor_s: number;
  /** Rise of the level over the last minute of a run that has lasted longer; null otherwise. */
  riseWhileRunning_m: number | null;
  /** What the pump moves just now, by the fall of the level and the inflow before; null while it rests or is unknown. */
  dischargeNow_m3s: number | null;
  /** How long a running pump has had the water down at its stop level, within noise. */
  atStopFor_s: number;
  /** Where runs stop: the float's level, else that of the latest run. */
  stopLevel_m: number | null;
  /** Far less has been coming in than the pump moves. */
  littleInflow: boolean;
  /** The pump against its recent past, and against its best days. */
  suddenChange: PumpComparison | null;
  slowChange: PumpComparison | null;
  highFloat: boolean | null;
  mainsOn: boolean | null;
  startsInLastHour: number;
  /** Changes of the pump signal in the last ten minutes or so that did not last: bounce, or a float that flickers. */
  flickers: number;
  /** Newest first, at most eight. */
  recentCycles: readonly Cycle[];
  /** What the pump moves, as learned; null before it is known. */
  pumpRate: FlowEstimate | null;
  inflow: FlowEstimate | null;
  peak600: Peak | null;
  /** Newest level that may have been one, also while the sensor is not trusted; null before the first. */
  lastLevel_m: number | null;
  levelProblem: LevelProblem | null;
  /** Where the float trips, by the level, and whether that has moved. */
  readonly trips: TripLevelsState;
  levelNoise_m: number;
}

export interface Rule {
  readonly kind: FindingKind;
  readonly severity: Severity;
  /** How long the condition must hold before it counts, and how long it must not before it is over. */
  readonly onDelay_s: number;
  readonly offDelay_s: number;
  /**
   * Null: cannot be told now; what was decided stays.
   *
   * @param open the finding, if it is open already: what would not open it may keep it open
   */
  holds(view: View, open: Finding | null): boolean | null;
  evidence(view: View): Evidence;
  /** Folds a later look into the evidence, for a figure that has got worse; null when it has not. */
  worsen?(evidence: Evidence, view: View): Evidence | null;
  message(view: View): string;
}
