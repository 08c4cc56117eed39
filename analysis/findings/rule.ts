// The interface of a rule: when a finding is true, for how long it must be so, and what to tell the person.

import type { PumpSignal } from "../cycles/by-signal/run-signal.ts";
import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import type { Peak } from "../inflow/over-time/rolling-peaks.ts";
import type { ReckonedStarts } from "../inflow/seldom-readings/reckoned-starts.ts";
import type { LongerRuns } from "../pump-flow/longer-runs.ts";
import type { SlowChange, SuddenChange } from "../pump-flow/pump-change.ts";
import type { ChannelWatchState } from "../readings/channel-watch.ts";
import type { LevelProblem } from "../readings/level-problem.ts";
import type { TripLevelsState } from "../readings/trip-levels.ts";
import type { Site } from "../site.ts";
import type { Evidence, Finding, FindingKind, Severity } from "./finding.ts";
import type { KeptDownState } from "./kept-down.ts";
import type { OverStart } from "./over-start.ts";
import type { TwoPumps } from "./two-pumps.ts";

/** What a rule may look at: the site, what is true at a reading, and what the cycles have shown. */
export interface View {
  readonly site: Site;
  /** Up to the rim; null when that is not given. */
  readonly basinHolds_m3: number | null;
  time_s: number;
  /**
   * Since the view before no start, cycle, inflow or flicker has become known, and the level is trusted, and read as
   * often, as it was. With two pumps this is not told.
   */
  noNews: boolean;
  /** Nothing is wrong with the level, the pump's signal, the channels beside them, the floats' trips or the supply. */
  allWell: boolean;
  /** Freed of single spikes. */
  level_m: number | null;
  /** The same where the latest levels agree; where they toss about by more than water can, the lowest of them. */
  leastLevel_m: number | null;
  /** The level is still that of before a silence, or of before a row of one value said again. */
  levelIsOld: boolean;
  /** The level has leapt up, and its value has only been said again since: no more than one reading speaks for it. */
  levelOnlySaidAgain: boolean;
  /** By how much the level has leapt up since the latest start that did not wait for the supply: water poured in, or a sensor set anew; else 0. */
  leapSinceStart_m: number;
  pumpRunning: boolean | null;
  /** The pump's state is read off the level, not off a contact, a motor's load or a float. */
  pumpInferred: boolean;
  /** Runs are read off the level, be it that no signal tells of them or that it is asked too seldom to time them. */
  runsByLevel: boolean;
  /** Readings come closely enough to show what happens within a run. */
  closelyRead: boolean;
  /** How far apart readings come; one in twenty comes later. */
  readEvery_s: number;
  /** A run usually holds so few readings that what it moved is read off two or three. */
  fewReadingsInARun: boolean;
  /** The pump's signal has stood still while the level went up and down. */
  pumpSignalDead: boolean;
  /** The channel that is the pump's signal; null without one. */
  pumpSignal: PumpSignal | null;
  /** How long the pump has been in that state; 0 when it is unknown. */
  pumpStateFor_s: number;
  /** Rise of the level over the last minute of a run that has lasted longer; null otherwise. */
  riseWhileRunning_m: number | null;
  /** Rise of the level over the last five to ten minutes of a run that has lasted so long; null otherwise. */
  riseInLongRun_m: number | null;
  /**
   * The rise of the last ten minutes of a long run, all of it over where runs start, as a share of what came in before it:
   * 1 where the pump moves nothing. Null where that does not show.
   */
  risenShare: number | null;
  /** What the pump moves just now, by the fall of the level and the inflow before; null while it rests or is unknown. */
  dischargeNow_m3s: number | null;
  /** How long a running pump has had the water down at its stop level, within noise. */
  atStopFor_s: number;
  /** … and how long it took to come there from `wetAgain_m` over it. */
  cameToStopIn_s: number;
  /** Whether the level alone shows that the pump runs on. */
  readonly keptDown: KeptDownState;
  /** Where the float stops the pump, as stated or lower by the latest runs (`usualStop_m`); null where none is stated. */
  stopsAt_m: number | null;
  /** Where runs stop: the float's level, else that of the latest run. */
  stopLevel_m: number | null;
  /** Far less has been coming in than the pump moves. */
  littleInflow: boolean;
  /** The pump against its recent past, and against its best days. */
  suddenChange: SuddenChange | null;
  /** The same over more runs, for what three of a few readings do not tell. */
  lastingChange: SuddenChange | null;
  /** The same over many that readings are too far apart to time; null while they take about as long as usual. */
  longerRuns: LongerRuns | null;
  slowChange: SlowChange | null;
  /** Several of the latest runs moved little at first and came up by themselves. */
  startsLate: boolean;
  /** Where the float starts the pump, as learned, else as the site says. */
  startTrip_m: number | null;
  /** This run began with the water well under the level at which the float starts the pump: no float called for it. */
  startedLow: boolean;
  /** More had begun to come in just before this run: the level at its start stood above the course of the rest. */
  roseBeforeStart: boolean;
  /** The most that this run has moved, by the level's trend; null before it shows. */
  bestInRun_m3s: number | null;
  /** What comes in by the level's trend in the rest under way; null before it shows. */
  inflowAtRest_m3s: number | null;
  /**
   * Rise over the last minute with the water well over the start level and nothing but the level to tell what the pump
   * does; null otherwise.
   */
  riseOverStart_m: number | null;
  /**
   * Rise over the last two to ten minutes of a run that by the level alone, read seldom, was seen to go on over where it
   * began; null otherwise.
   */
  riseOverFloats_m: number | null;
  /** By the level alone: whether the pump stands with the water clearly over where it starts. */
  overStart: OverStart;
  temperature_c: number | null;
  highFloat: boolean | null;
  mainsOn: boolean | null;
  /** As seen by readings. */
  startsInLastHour: number;
  /** The same by the inflow, where whole runs fall between readings; null where they do not. */
  startsByInflow: ReckonedStarts | null;
  /** Changes of the pump signal in the last ten minutes or so that did not last: bounce, or a float that flickers. */
  flickers: number;
  /** How often in the last hour the pump's float has opened for a moment within a run that the level shows. */
  bobs: number;
  /** Newest first, at most eight. */
  recentCycles: readonly Cycle[];
  /** What the pump moves, as learned; null before it is known. */
  pumpRate: FlowEstimate | null;
  /** Null where there is one pump; of two, `pumpRate` is of those that run, or ran last. */
  pumps: TwoPumps | null;
  inflow: FlowEstimate | null;
  peak600: Peak | null;
  /**
   * At least so much has come in over ten minutes in which the pump ran and did not lower the water, or ran most of the
   * time; null where that has not been. Water that goes over the rim no level shows.
   */
  leastPeak600_m3s: number | null;
  /**
   * The share of any ten minutes in which the pump has run at the most, by its own signal and with what chance may add;
   * null without one, and with two pumps.
   */
  mostRunShare: number | null;
  /** The run under way shows that the pump moves water: if the level does not fall, more has begun to come in. */
  soundRun: boolean;
  /** The water stands at the rim: that it rises no more says nothing. */
  overRim: boolean;
  /** Newest level that may have been one, also while the sensor is not trusted; null before the first. */
  lastLevel_m: number | null;
  levelProblem: LevelProblem | null;
  /** The level tosses about by more than water does, or did lately. */
  levelTosses: boolean;
  /** Where the float trips, by the level, and whether that has moved. */
  readonly trips: TripLevelsState;
  /** The channels beside level and contact, as far as they are watched. */
  readonly channels: ChannelWatchState;
  levelNoise_m: number;
}

export interface Rule {
  readonly kind: FindingKind;
  readonly severity: Severity;
  /** How long the condition must hold before it counts, and how long it must not before it is over. */
  readonly onDelay_s: number;
  readonly offDelay_s: number;
  /** At so many readings the condition must have held before it counts, however far apart they are; one without it. */
  readonly onReadings?: ((view: View) => number) | undefined;
  /**
   * It cannot come true at a calm reading (`LookOut.isCalm`), nor by a reading of a run that has just begun as any
   * (`LookOut.isPlainRun`), and is not asked there. Every rule that is left to itself is asked at every reading, which
   * costs: say so where it is true.
   */
  readonly notWhileCalm?: true | undefined;
  /**
   * While its finding is shut it cannot come true unless there is news (`View.noNews`), and is not asked before: it looks
   * at cycles, starts and flickers alone, and time that passes only speaks against it.
   */
  readonly onlyOnNews?: true | undefined;
  /** While its finding is shut it cannot come true as long as all is well (`View.allWell`), and is not asked then. */
  readonly onlyInTrouble?: true | undefined;
  /**
   * Null: cannot be told now; what was decided stays.
   *
   * @param open the finding, if it is open already: what would not open it may keep it open
   */
  holds(view: View, open: Finding | null): boolean | null;
  evidence(view: View): Evidence;
  /** Folds a later look into the evidence, for a figure that has got worse or a cause that has come out; else null. */
  readonly worsen?: ((evidence: Evidence, view: View) => Evidence | null) | undefined;
  /** What the end of it adds to the evidence; null for nothing. */
  readonly conclude?: ((finding: Finding, view: View) => Evidence | null) | undefined;
  message(view: View, evidence: Evidence): string;
}
