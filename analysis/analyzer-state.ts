// Everything that the analysis remembers between readings, as plain data: what a snapshot holds.

import { type LevelRunsState, newLevelRuns } from "./cycles/by-level/level-runs-state.ts";
import { newSignalRows, type SignalRowsState } from "./cycles/by-signal/asked-seldom.ts";
import { type BriefRunsState, newBriefRuns } from "./cycles/by-signal/brief-runs.ts";
import { type ContactInRunsState, newContactInRuns } from "./cycles/by-signal/contact-in-runs.ts";
import { type ContactWatchState, newContactWatch } from "./cycles/by-signal/lying-contact.ts";
import { newRunSignal, type RunSignalState } from "./cycles/by-signal/run-signal.ts";
import { newSteadySignal, type SteadySignalState } from "./cycles/by-signal/steady-signal.ts";
import { type CadenceState, newCadence } from "./cycles/cadence.ts";
import { type LevelOutState, newLevelOut } from "./cycles/level-out.ts";
import { newTracker, type TrackerState } from "./cycles/tracker-state.ts";
import { type AtStopState, newAtStop } from "./findings/at-stop.ts";
import { type FindingBookState, newFindingBook } from "./findings/finding-book.ts";
import { type FlatOutState, newFlatOut } from "./findings/flat-out.ts";
import { rules } from "./findings/index.ts";
import { type KeptDownState, newKeptDown } from "./findings/kept-down.ts";
import { type LookedOutState, newLookedOut } from "./findings/looked-out.ts";
import { type MostRunState, newMostRun } from "./findings/most-run.ts";
import { newOverStart, type OverStartState } from "./findings/over-start.ts";
import { type DoubtedState, newDoubted } from "./inflow/over-time/doubted.ts";
import { newPeaks, type PeaksState } from "./inflow/over-time/rolling-peaks.ts";
import type { PassBurstsState } from "./inflow/seldom-readings/pass-bursts.ts";
import { newRunShare, type RunShareState } from "./inflow/seldom-readings/run-share-state.ts";
import { type ChannelWatchState, newChannelWatch } from "./readings/channel-watch.ts";
import { type LevelScreenState, newLevelScreen } from "./readings/level-screen-state.ts";
import type { PollState } from "./readings/rows-of-one-poll.ts";
import { type LevelCourse, newTrend, type TrendState } from "./readings/trend.ts";
import { newTally, type TallyState } from "./report/tally.ts";

export interface AnalyzerState {
  /** Rows that may be of one poll; absent: none has come yet. */
  poll?: PollState;
  readonly cadence: CadenceState;
  readonly screen: LevelScreenState;
  readonly runSignal: RunSignalState;
  /** When the rows come that carry it. */
  readonly signalRows: SignalRowsState;
  /** … and those of the float, where runs are read off the level. */
  readonly floatRows: SignalRowsState;
  readonly steady: SteadySignalState;
  readonly briefRuns: BriefRunsState;
  readonly levelRuns: LevelRunsState;
  /** Runs that the level alone would show, kept beside a signal to see whether it follows. */
  shadow: LevelRunsState;
  /** What runs that the level shows say of the signal, and of the second pump's. */
  readonly inRuns: ContactInRunsState;
  readonly inRunsOfSecond: ContactInRunsState;
  /** When the signal last changed. */
  signalSince_s: number | null;
  /** When it last began to say that the pump runs; NaN before it has. */
  ranFrom_s: number;
  /** What the level says of a contact that says 'runs', and the other channels beside it. */
  readonly contact: ContactWatchState;
  readonly channels: ChannelWatchState;
  readonly tracker: TrackerState;
  readonly peaks: PeaksState;
  readonly doubted: DoubtedState;
  readonly share: RunShareState;
  /** What poured in for minutes beside rests and runs that tell the rest; absent: none was looked for yet. */
  bursts?: PassBurstsState;
  readonly trend: TrendState;
  readonly tally: TallyState;
  readonly book: FindingBookState;
  hasLevel: boolean;
  /** Latest state of the channels that hold until they change. */
  pumpRunning: boolean | null;
  pumpSince_s: number | null;
  /** Whether a running pump has the water down at its stop level. */
  readonly atStop: AtStopState;
  /** Whether the water stays down, of a pump that is watched by the level alone. */
  readonly keptDown: KeptDownState;
  /** … or rises on over where it starts. */
  readonly overStart: OverStartState;
  lookedAt_s: number;
  readonly lookedOut: LookedOutState;
  floatOn: boolean | null;
  highFloat: boolean | null;
  mainsOn: boolean | null;
  temperature_c: number | null;
  /** The course of the rest before the run under way, as far as the trend shows it. */
  restCourse: LevelCourse | null;
  startedLow: boolean;
  roseBeforeStart: boolean;
  bestInRun_m3s: number | null;
  readonly flatOut: FlatOutState;
  readonly mostRun: MostRunState;
  estimates: number;
  /** Whether runs are told by a signal or read off the level, and for how many readings the other has been better. */
  view: "signal" | "level";
  otherViewBetter: number;
  /** … and whether the level tells nothing now. */
  readonly levelOut: LevelOutState;
}

export function newState(): AnalyzerState {
  return {
    cadence: newCadence(),
    screen: newLevelScreen(),
    runSignal: newRunSignal(),
    signalRows: newSignalRows(),
    floatRows: newSignalRows(),
    steady: newSteadySignal(),
    briefRuns: newBriefRuns(),
    levelRuns: newLevelRuns(),
    shadow: newLevelRuns(),
    inRuns: newContactInRuns(),
    inRunsOfSecond: newContactInRuns(),
    signalSince_s: null,
    ranFrom_s: Number.NaN,
    contact: newContactWatch(),
    channels: newChannelWatch(),
    tracker: newTracker(),
    peaks: newPeaks(),
    doubted: newDoubted(),
    share: newRunShare(),
    trend: newTrend(),
    tally: newTally(),
    book: newFindingBook(rules),
    hasLevel: false,
    pumpRunning: null,
    pumpSince_s: null,
    atStop: newAtStop(),
    keptDown: newKeptDown(),
    overStart: newOverStart(),
    lookedAt_s: Number.NaN,
    lookedOut: newLookedOut(),
    floatOn: null,
    highFloat: null,
    mainsOn: null,
    temperature_c: null,
    restCourse: null,
    startedLow: false,
    roseBeforeStart: false,
    bestInRun_m3s: null,
    flatOut: newFlatOut(),
    mostRun: newMostRun(),
    estimates: 0,
    view: "level",
    otherViewBetter: 0,
    levelOut: newLevelOut(),
  };
}

/** Whether it is all there: a snapshot of another build may lack what this one remembers. */
export function isState(value: unknown): value is AnalyzerState {
  return isObject(value) && hasAllOf(newState(), value);
}

/** What begins as nothing, or as a list of nothing, may hold anything later; where something was, nothing may be. */
function hasAllOf(fresh: object, value: object): boolean {
  if (Array.isArray(fresh) && fresh.length > 0 && !(Array.isArray(value) && value.length === fresh.length))
    return false;
  return Object.entries(fresh).every(([key, begins]) => {
    if (!(key in value)) return begins === undefined;
    const now: unknown = Reflect.get(value, key);
    if (!isObject(begins) || ArrayBuffer.isView(begins) || now === null) return true;
    return isObject(now) && hasAllOf(begins, now);
  });
}

function isObject(value: unknown): value is object {
  return typeof value === "object" && value !== null;
}
