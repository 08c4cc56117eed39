// Which estimate of the inflow is handed on: that of rests and runs one by one or, where readings are too far apart for
// those, that by the share of time that the pump runs.

import type { AnalyzerState } from "../../analyzer-state.ts";
import { pumpedPace } from "../../cycles/by-level/falling-level.ts";
import { isBlocked, noSignal, signalDead, toldEvery } from "../../cycles/by-signal/signal-and-pump.ts";
import { hasExactEdges } from "../../cycles/cadence.ts";
import type { Cycle, FlowEstimate } from "../../cycles/cycle.ts";
import { farApart_s } from "../../cycles/tracker-context.ts";
import { eitherOfTwo, type TwoFlows, timesOf } from "../../cycles/two-pumps/pumps-as-one.ts";
import type { BasinGeometry } from "../../geometry/basin.ts";
import { steepnessAt_1m } from "../../pump-flow/capability-line.ts";
import { learnAnew, learnPooled } from "../../pump-flow/learn-capability.ts";
import { longerRuns, noteTogether } from "../../pump-flow/longer-runs.ts";
import { capabilityAt, roughly } from "../../pump-flow/pump-capability.ts";
import { closelyRead_s } from "../../readings/closely-read.ts";
import type { Trips } from "../../readings/trip-levels.ts";
import { takeTurns } from "../../report/pump-tally.ts";
import { noteByShare, noteReckonedHour } from "../../report/tally.ts";
import type { BasinSite } from "../../site.ts";
import { type FloatVolumes, floatVolumes } from "../float-volumes.ts";
import { noiseReadSeldom } from "../seldom-readings/cycle-grid.ts";
import type { SparseContext } from "../seldom-readings/over-stretch.ts";
import type { Stretch } from "../seldom-readings/pass-bursts.ts";
import { noteReckoned, reckonedStarts } from "../seldom-readings/reckoned-starts.ts";
import { breakShare, noteSparse, type ShareOutput } from "../seldom-readings/run-share.ts";
import { byShare, mayHideRuns, type SparseReading } from "../seldom-readings/run-share-state.ts";
import { breakContact, noteContact, type SampledStretch } from "../seldom-readings/sampled-contact.ts";
import { handOverBursts } from "./hand-over-bursts.ts";

/** @param joined errors are those of the stretch before */
export type PassInflow = (
  from_s: number,
  to_s: number,
  parts: readonly FlowEstimate[] | null,
  joined?: boolean,
) => void;

export interface InflowHandOver {
  /** The rest before a cycle may hold runs that no reading saw: what it shows is no inflow. */
  mayHideRuns(cycle: Cycle): boolean;
  /** What rests and runs say; see `TrackerOutput.inflow`. */
  ofCycles(from_s: number, to_s: number, parts: readonly FlowEstimate[] | null, standsIn?: boolean): void;
  /** A reading with a level, and whether the pump runs. */
  reading(time_s: number, level_m: number, on: boolean | null): void;
  /** A reading of a recording without a level. */
  unlevelled(time_s: number, on: boolean | null): void;
  /** No reading follows for a while. */
  broken(): void;
}

/** What is known of how many pumps run while one does: nothing that would not go without saying. */
const oneRuns = {};
/** A rest of so many intervals shows something if it can. */
const showing = 6;
/** A few readings between the one estimate and the other have the inflow of before. */
const bridged = 20;
/** Rests in a row for which the inflow known before stands in: the share of time is asked after as many. Judgement, no source. */
const mostStoodIn = 8;
const notStoodIn = { rests: 0, last: false };
/** More cycles between two that were seen are handed on as so many. */
const mostCycles = 240;

export function handOverInflow(
  state: AnalyzerState,
  basin: BasinSite,
  geometry: BasinGeometry,
  pass: PassInflow,
): InflowHandOver {
  const { share, cadence, tracker } = state;
  const floats = floatsBetweenTrips(state, basin, geometry);
  /** The float's levels as the site file states them, else as its trips have shown them. */
  const between_m = () => {
    const { startLevel_m, stopLevel_m } = basin;
    if (startLevel_m !== null && stopLevel_m !== null) return { start_m: startLevel_m, stop_m: stopLevel_m };
    const seen = floats();
    return seen && { start_m: geometry.level_m(seen.stop_m3 + seen.active_m3), stop_m: geometry.level_m(seen.stop_m3) };
  };
  const middle_m = () => {
    const between = between_m();
    return between && (between.start_m + between.stop_m) / 2;
  };
  const context: SparseContext = {
    get interval_s() {
      return toldEvery(state).typical_s;
    },
    get byLevel() {
      return state.view === "level";
    },
    get noise_m3() {
      return noiseReadSeldom(tracker.memory, floats()?.active_m3 ?? null);
    },
    get active_m3() {
      return floats()?.active_m3 ?? null;
    },
    get stop_m3() {
      return floats()?.stop_m3 ?? null;
    },
    get scatter_m3() {
      return floats()?.scatter_m3 ?? 0;
    },
    pump: () => {
      // A loss that many runs have told together is known by how much.
      if (isBlocked(state) && longerRuns(tracker.history.longer) === null) return null;
      return pumpAlone() ?? byFall(state, geometry, middle_m());
    },
    rests: () => tracker.endInflow,
    tilt: () => {
      const between = between_m();
      if (between === null) return 0;
      const steepness_1m = steepnessAt_1m(tracker.capability, (between.start_m + between.stop_m) / 2);
      return (steepness_1m * (between.start_m - between.stop_m)) / 2;
    },
    learn: (volume_m3, run_s, uRun_s) => {
      if (!secondRuns()) learnPooled(tracker.capability, volume_m3, run_s, uRun_s);
    },
    get isAlone() {
      return tracker.pumps.origin === null;
    },
    used: () => longerRuns(tracker.history.longer)?.before ?? null,
    anew: (before, moves) => {
      learnAnew(tracker.capability, moves);
      noteTogether(tracker.history.longer, before, moves);
    },
  };
  const bursts = handOverBursts(state, geometry, context, pass, handOn);
  const output: ShareOutput = {
    begins: bursts.end,
    stretch(from_s, to_s, known) {
      if (known === null) {
        pass(from_s, to_s, null);
        noteByShare(state.tally, to_s - from_s, null);
        return;
      }
      const { inflow, pumped, parts, starts = null } = known;
      // How it moves within a stretch is not seen: about as much as from one to the next.
      const uBend_m3s = Math.abs(inflow.flow_m3s - (share.flow ?? inflow).flow_m3s) / Math.sqrt(12);
      pass(from_s, to_s, parts ?? [{ ...inflow, uBend_m3s }], share.flow !== null);
      noteReckonedHour(state.tally, reckonedStarts(share.reckoned, state.tally.startTimes_s, to_s));
      noteByShare(state.tally, to_s - from_s, pumped, starts);
    },
  };

  return {
    mayHideRuns(cycle) {
      if (!byShare(share) || (cadence.typical_s < farApart_s && state.hasLevel)) return false;
      return !state.hasLevel || mayHideRuns(share, cycle, cadence.typical_s, context.active_m3);
    },
    ofCycles(from_s, to_s, parts, standsIn = false) {
      if (byShare(share)) return;
      bursts.ofCycles({ from_s, to_s, parts, standsIn });
    },
    reading(time_s, level_m, on) {
      // Levels tell of the runs that a contact alone misses.
      giveBack();
      const told = noSignal(state) ? null : on;
      const two = secondRuns() ? ofTwo(told) : oneRuns;
      if (!(cadence.typical_s > closelyRead_s) || two === null || hasExactEdges(cadence)) {
        if (share.marks.length > 0) breakShare(share, context, output);
        return;
      }
      const reading = { time_s, volume_m3: geometry.volume_m3(level_m), on: told, ...two };
      bursts.reading(reading);
      noteSparse(share, reading, context, output);
    },
    unlevelled(time_s, on) {
      // What levels have begun to tell ends where they do: nothing is handed on twice.
      if (share.marks.length > 0) breakShare(share, context, output);
      if (!(context.interval_s > closelyRead_s) || helped() || hasExactEdges(cadence)) {
        giveBack();
        return;
      }
      share.upTo_s = noteContact(share.contact, time_s, on, share.upTo_s, state.briefRuns, context, betweenSeen);
    },
    broken() {
      bursts.end();
      breakShare(share, context, output);
      share.upTo_s = breakContact(share.contact, share.upTo_s, context, betweenSeen);
    },
  };

  function handOn({ from_s, to_s, parts, standsIn }: Stretch): void {
    const stoodIn = hasStoodIn(standsIn);
    if (standsIn) share.standIns += 1;
    else if (to_s - from_s > showing * cadence.typical_s) share.standIns = 0;
    // What was handed on by the share of time stays so, whatever rests and runs have to say of it later.
    if (!(to_s > share.upTo_s)) return;
    // So many rests that show nothing are those of a storm, whatever the one before them seemed to show.
    if (stoodIn) state.tally.unfollowed_s += to_s - Math.max(from_s, share.upTo_s);
    else if (parts === null) pass(Math.max(from_s, share.upTo_s), to_s, null);
    else {
      if (share.flow !== null && from_s > share.upTo_s) bridge(from_s);
      const start_s = Math.max(from_s, share.upTo_s);
      pass(start_s, to_s, after(parts, (start_s - from_s) / (to_s - from_s)));
    }
    share.flow = null;
    share.upTo_s = to_s;
  }

  /**
   * What was known before stands in for a few rests that show nothing; of the time in which many did, one after the other,
   * it says nothing.
   *
   * @param standsIn so it does for this stretch; a run lies between every two rests
   */
  function hasStoodIn(standsIn: boolean): boolean {
    const { rests, last } = share.stoodIn ?? notStoodIn;
    if (!standsIn && !last) delete share.stoodIn;
    else share.stoodIn = { rests: rests + Number(standsIn), last: standsIn };
    return cadence.typical_s > closelyRead_s && (share.stoodIn?.rests ?? 0) > mostStoodIn;
  }

  /** What any of the runs lowers the water by, where it is not known whose it is. */
  function pumpAlone(): FlowEstimate | null {
    const { pumps } = state.tally;
    if (!secondRuns()) return roughly(tracker.capability, middle_m());
    const first = pumps === null || !byTurns() ? 1 : pumps[0].starts / (pumps[0].starts + pumps[1].starts);
    return eitherOfTwo(flowsOfTwo(), first);
  }

  function flowsOfTwo(): TwoFlows {
    const { capability, second, both } = tracker;
    const at_m = middle_m();
    return {
      first: roughly(capability, at_m),
      second: roughly(second.capability, at_m),
      both: capabilityAt(both.capability, null),
    };
  }

  /** Null where nothing tells what those move that run. */
  function ofTwo(told: boolean | null): Pick<SparseReading, "times" | "helped"> | null {
    const [first, second] = [state.runSignal.on === true, tracker.pumps.secondOn === true];
    const helped = first && second && !signalDead(state) ? ({ helped: true } as const) : {};
    if (told !== true) return told === null ? helped : {};
    const one = pumpAlone();
    const times = one && timesOf(first ? (second ? 3 : 1) : 2, flowsOfTwo(), one);
    return times && { times, ...helped };
  }

  /** Beside a standby that rests the one on duty is as good as alone. */
  function secondRuns(): boolean {
    return tracker.pumps.origin !== null && (tracker.pumps.secondOn !== false || byTurns());
  }

  /** By the volume between the floats it is all one which of two that take turns draws it, as long as not both do. */
  function helped(): boolean {
    const { origin, secondOn } = tracker.pumps;
    return origin !== null && secondOn !== false && !(byTurns() && state.runSignal.on === false);
  }

  function byTurns(): boolean {
    const { pumps } = state.tally;
    return pumps !== null && takeTurns(pumps);
  }

  /** Rests and runs tell by themselves again, for what a contact alone has not handed on. */
  function giveBack(): void {
    if (share.contact.active) share.upTo_s = breakContact(share.contact, share.upTo_s, context, betweenSeen);
  }

  function betweenSeen(from_s: number, to_s: number, known: SampledStretch, joined: boolean): void {
    const { inflow, cycles, pumped, starts } = known;
    pass(from_s, to_s, new Array<FlowEstimate>(Math.min(mostCycles, cycles)).fill(inflow), joined);
    share.reckoned = noteReckoned(share.reckoned, starts);
    noteReckonedHour(state.tally, reckonedStarts(share.reckoned, state.tally.startTimes_s, to_s));
    noteByShare(state.tally, to_s - from_s, pumped, starts);
  }

  function bridge(to_s: number): void {
    const near = to_s - share.upTo_s < bridged * cadence.typical_s;
    pass(share.upTo_s, to_s, near && share.flow !== null ? [share.flow] : null);
  }
}

/** By how runs that are read off the level lower it, where nothing else tells what the pump moves. */
function byFall({ levelRuns, cadence }: AnalyzerState, { area_m2 }: BasinGeometry, middle_m: number | null) {
  const pace = middle_m === null ? null : pumpedPace(levelRuns.fall, cadence.typical_s);
  if (pace === null || middle_m === null) return null;
  const { pace_ms, uPace_ms } = pace;
  const area = area_m2(middle_m);
  return { flow_m3s: pace_ms * area, uFlow_m3s: uPace_ms * area, degreesOfFreedom: levelRuns.fall.runs };
}

/** Asked for at every reading, and new with each cycle's trips only. */
function floatsBetweenTrips({ tracker }: AnalyzerState, basin: BasinSite, geometry: BasinGeometry) {
  let newest: Trips | undefined;
  let known = floatVolumes(tracker.trips, basin, geometry);
  return (): FloatVolumes | null => {
    const now = tracker.trips.recent[tracker.trips.recent.length - 1];
    if (now !== newest) known = floatVolumes(tracker.trips, basin, geometry);
    newest = now;
    return known;
  };
}

/** Equal parts but for those of the first `share` of the time, as near as parts go. */
function after(parts: readonly FlowEstimate[], share: number): readonly FlowEstimate[] {
  return share > 0 ? parts.slice(Math.min(parts.length - 1, Math.floor(share * parts.length))) : parts;
}
