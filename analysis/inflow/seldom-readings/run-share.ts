// Inflow where readings are too far apart to follow the runs one by one: by how far each lies in its cycle or, where that
// leads nowhere, by the share of them at which the pump runs. Says when that is so, and takes over until it no longer is.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { lostInSpinUp_s } from "../../pump-flow/fit-run.ts";
import { uReadingOf } from "./cycle-grid.ts";
import { flutters, isFlutter } from "./flutter.ts";
import { followCycles } from "./follow-cycles.ts";
import { keepsStep, timesThroughCycle, uShareInStep } from "./keeps-step.ts";
import { type Mark, type OverStretch, overStretch, type PumpedByShare, type SparseContext } from "./over-stretch.ts";
import { laterOn, learnedPump } from "./pump-by-cycles.ts";
import { isDry, ranDry } from "./ran-dry.ts";
import { noteReckoned, type StartsOfStretch, startsOfStretch } from "./reckoned-starts.ts";
import { newSampledContact, type SampledContactState } from "./sampled-contact.ts";
import { tossesAbout } from "./tosses-about.ts";

export interface RunShareState {
  /** Latest readings, oldest first. */
  marks: Mark[];
  on: boolean | null;
  fell: boolean;
  /** What the pump moves, as the cycles that were followed have shown it; null before any were. */
  pump: FlowEstimate | null;
  /** What was known at the end of each of the latest stretches that were followed one after the other, oldest first. */
  ends: FollowedTo[];
  /** Where the stretch in progress begins; null while rests and runs tell the inflow themselves. */
  from: Mark | null;
  /** Up to here it is handed on. */
  upTo_s: number;
  /** Rests in a row that showed nothing, and had the inflow known before. */
  standIns: number;
  /** Of the newest stretch. */
  flow: FlowEstimate | null;
  /** How often the pump started, where the cycles of the last hour were followed. */
  reckoned: StartsOfStretch[];
  /** … without a level. */
  readonly contact: SampledContactState;
}

interface FollowedTo {
  readonly time_s: number;
  readonly pump: FlowEstimate;
  readonly flow_m3s: number;
}

export function newRunShare(): RunShareState {
  return {
    marks: [],
    on: null,
    fell: false,
    pump: null,
    ends: [],
    from: null,
    upTo_s: Number.NEGATIVE_INFINITY,
    standIns: 0,
    flow: null,
    reckoned: [],
    contact: newSampledContact(),
  };
}

export interface SparseReading {
  readonly time_s: number;
  readonly volume_m3: number;
  readonly on: boolean | null;
}

/** Of one stretch: its inflow, and what the pump moved in it; null where neither is known. */
export interface ShareOutput {
  /** From now on the share of time tells: what rests and runs have said of the time up to here is handed on now, or never. */
  begins(): void;
  stretch(
    from_s: number,
    to_s: number,
    known: {
      readonly inflow: FlowEstimate;
      readonly pumped: PumpedByShare;
      /** Its course over equal parts, where that was followed. */
      readonly parts?: readonly FlowEstimate[];
      readonly starts?: StartsOfStretch;
    } | null,
  ): void;
}

/**
 * So many runs among so many readings, whatever tells of them: a rest has hardly three, and shows no slope. Turns of the
 * level itself are dated badly before that.
 */
const crowded = 6;
const lookedAt = { bySignal: 20, byLevel: 45 } as const;
const remembered = 120;
/** Rests that would hold so many readings are followed by themselves again, when that has been so for as many as this. */
const roomy = { bySignal: 6, byLevel: 8 } as const;
const fewest = 24;
const lately = 60;
/** A level that sinks by this share of the swing from one reading to the next has been pumped. */
const fallOfSwing = 0.12;
const surelyFell = 4;
/** A float that opens early, and a pump that is not known well. */
const mostOfRun = 0.5;
/** Without knowing what the pump moves: it runs for less than this share of the time. */
const seldomOn = 0.1;
/** Cycles are followed over so many readings at a time, with the help of some before; of more once those were followed, too. */
const followed = 24;
const helping = { atFirst: 12, byLevel: 24, bySignal: 60 } as const;
const mostFollowed = 60;
const mostEnds = 8;
/** They are followed where each reading's place is so much likelier than by chance (mean logarithm). */
const follows = 0.7;
/** Nearly all that the pump moves comes in; then it runs for more of the time than this share of that. */
const nearlyAll = 0.8;
const runsThen = 0.5;
/** Of so many readings that should be of runs, hardly any was. */
const manyInRuns = 6;
const hardlyRuns = 0.25;
/** What all cycles have alike is known to this share: what lies between the floats, comes back, is lost until up to speed. */
const uAlike = 0.012;
/** Of how far off an interval may be by itself, what is left over a minute or more: the next makes the rest good. */
const leftOver = 0.5;
/** A stretch tells what the pump moves by so many counted cycles, if it is not vague for how long that ran. */
const cyclesToLearn = 4;
const vague = 0.5;
const mostStandIns = 8;
/** A stretch is closed when its inflow is so well known, but for what the pump moves, or when it has lasted so long. */
const wellKnown = 0.05;
const longest_s = 7200;

/** Takes a reading; what came in before it may then be handed on. */
export function noteSparse(
  state: RunShareState,
  reading: SparseReading,
  context: SparseContext,
  output: ShareOutput,
): void {
  if (state.marks.length > 0 && (state.on === null) !== (reading.on === null)) breakShare(state, context, output);
  noteMark(state, reading, context);
  if (state.from === null) {
    if (isCrowded(state, context)) begin(state, output);
    return;
  }
  const now = state.marks.at(-1) as Mark;
  const dry = ranDry(state.marks, state.from, context);
  if (dry && !isDry(now, context)) hand(state, now, null, output);
  if (dry) return;
  const again = isRoomy(state, context);
  if (again || hasRoomFor(state.marks, state.from)) {
    const along = follow(state, state.from, context);
    if (along !== null) {
      hand(state, now, along, output);
      if (again) state.from = null;
      return;
    }
  }
  const found = overTime(state, state.from, now, context);
  const long = now.time_s - state.from.time_s >= longest_s;
  if (!again && !long && !(found !== null && found.uByChance_m3s <= wellKnown * found.inflow.flow_m3s)) return;
  close(state, now, context, output);
  if (again) state.from = null;
}

/** A gap, or the end: nothing is known beyond the newest reading. */
export function breakShare(state: RunShareState, context: SparseContext, output: ShareOutput): void {
  const last = state.marks.at(-1);
  if (state.from !== null && last !== undefined) close(state, last, context, output);
  const { upTo_s, pump, reckoned, contact } = state;
  Object.assign(state, { ...newRunShare(), upTo_s, pump, reckoned, contact });
}

/** The inflow is told by the share of time now, or by the cycles between those runs that a contact alone has seen. */
export function byShare({ from, contact }: RunShareState): boolean {
  return from !== null || contact.active;
}

function noteMark(state: RunShareState, reading: SparseReading, context: SparseContext): void {
  const { marks } = state;
  const { time_s, volume_m3, on } = reading;
  const { active_m3 } = context;
  const before = marks.at(-1) ?? { time_s, volume_m3, ran_s: 0, starts: 0, runs: 0, flutters: 0, on };
  const half_s = (time_s - before.time_s) / 2;
  const fell = active_m3 !== null && before.volume_m3 - volume_m3 > leastFall_m3(active_m3, context);
  const started = on === true && state.on === false;
  const flutter =
    started && active_m3 !== null && !hidesRun(2 * half_s, context) && isFlutter(marks, volume_m3, active_m3);
  if (flutter) state.standIns = 0;
  // Between two readings at rest a whole run shows as a fall; without a signal falls one after the other may be one run.
  const rests = on === false && state.on === false;
  const unseen = fell && (on === null ? !state.fell : rests && hidesRun(time_s - before.time_s, context));
  marks.push({
    time_s,
    volume_m3,
    ran_s: on === null ? Number.NaN : before.ran_s + half_s * (Number(on) + Number(state.on)),
    starts: before.starts + Number(started),
    runs: before.runs + Number((started && !flutter) || unseen),
    flutters: before.flutters + Number(flutter),
    on,
  });
  state.on = on;
  state.fell = fell;
  if (marks.length >= 2 * remembered) state.marks = marks.slice(-remembered);
}

/** A whole run fits between two readings so far apart; else a level that falls there at rest was none, or is none. */
function hidesRun(apart_s: number, { active_m3, pump }: SparseContext): boolean {
  const moves = pump();
  return moves === null || active_m3 === null || apart_s * moves.flow_m3s > mostOfRun * active_m3;
}

/** Two readings that only jump about lie so far apart hardly ever. */
function leastFall_m3(active_m3: number, { noise_m3 }: SparseContext): number {
  return Math.max(fallOfSwing * active_m3, surelyFell * Math.SQRT2 * noise_m3);
}

function isCrowded({ marks, standIns, on }: RunShareState, { byLevel }: SparseContext): boolean {
  const now = marks.at(-1);
  const then = marks[marks.length - 1 - (byLevel ? lookedAt.byLevel : lookedAt.bySignal)];
  if (now === undefined || then === undefined) return false;
  return now.runs - then.runs >= crowded || (on !== null && standIns >= mostStandIns);
}

/** From where rests and runs were handed on up to, as far as the readings are still known. */
function begin(state: RunShareState, output: ShareOutput): void {
  output.begins();
  const { marks, upTo_s } = state;
  const from = marks.find(({ time_s }) => !(time_s < upTo_s)) ?? (marks.at(-1) as Mark);
  if (from.time_s > upTo_s && Number.isFinite(upTo_s)) output.stretch(upTo_s, from.time_s, null);
  state.upTo_s = from.time_s;
  state.from = from;
  state.standIns = 0;
}

function close(state: RunShareState, now: Mark, context: SparseContext, output: ShareOutput): void {
  const from = state.from as Mark;
  const dry = ranDry(state.marks, from, context);
  const found = dry ? null : (follow(state, from, context) ?? overTime(state, from, now, context));
  learnFrom(found, context);
  hand(state, now, found, output);
}

function hand(state: RunShareState, now: Mark, found: Followed | OverStretch | null, output: ShareOutput): void {
  const from = state.from as Mark;
  if (found !== null && "starts" in found) state.reckoned = noteReckoned(state.reckoned, found.starts);
  if (now.time_s > from.time_s) output.stretch(from.time_s, now.time_s, found);
  state.flow = found?.inflow ?? null;
  state.upTo_s = now.time_s;
  state.from = now;
}

/** What cycles and running time tell, unless the pump was hardly seen to run for it: a level that foams falls again and again. */
function overTime({ marks }: RunShareState, from: Mark, now: Mark, context: SparseContext): OverStretch | null {
  if (tossesAbout(marks, placeOf(marks, from), context) || flutters(from, now)) return null;
  const found = overStretch(marks[0] as Mark, from, now, context);
  const pump = found === null ? null : context.pump();
  if (found === null || pump === null) return found;
  const length_s = now.time_s - from.time_s;
  const share = found.inflow.flow_m3s / pump.flow_m3s;
  return isBelied(share, found.pumped.run_s / length_s, length_s / context.interval_s) ? null : found;
}

/** Every so many readings. */
function hasRoomFor(marks: readonly Mark[], from: Mark): boolean {
  const since = marks.length - 1 - placeOf(marks, from);
  return since > 0 && since % followed === 0;
}

function placeOf(marks: readonly Mark[], { time_s: from_s }: { readonly time_s: number }): number {
  return marks.findIndex(({ time_s }) => time_s >= from_s);
}

interface Followed extends OverStretch {
  readonly parts: readonly FlowEstimate[];
  readonly starts: StartsOfStretch;
}

/** The cycles from `from` to the newest reading; null where they cannot be followed. */
function follow(state: RunShareState, from: Mark, context: SparseContext): Followed | null {
  const { marks } = state;
  const { active_m3, stop_m3 } = context;
  const first = placeOf(marks, from);
  const now = marks.at(-1) as Mark;
  if (active_m3 === null || stop_m3 === null || first < 0 || first > marks.length - 3) return null;
  if (marks.length - first > mostFollowed || tossesAbout(marks, placeOf(marks, from), context) || flutters(from, now))
    return null;
  // What helps is not to tell of pump and inflow twice: they are taken as they were known where it begins.
  const oldest = marks[Math.max(0, first - (now.on === null ? helping.byLevel : helping.bySignal))] as Mark;
  const known = state.ends.find(({ time_s }) => time_s >= oldest.time_s) ?? null;
  const pump = surest(context.pump(), known?.pump ?? (state.pump && laterOn(state.pump)));
  if (pump === null) return null;
  const readings = marks.slice(known === null ? Math.max(0, first - helping.atFirst) : placeOf(marks, known));
  const asked = readings.findIndex(({ time_s }) => time_s >= from.time_s);
  if (asked < 0 || asked > readings.length - 3) return null;
  const before_m3s = known?.flow_m3s ?? state.flow?.flow_m3s ?? 0;
  const along = followCycles(
    readings,
    { stop_m3, active_m3, uReading: uReadingOf(context.noise_m3, active_m3), tilt: context.tilt() },
    pump,
    before_m3s > 0 ? before_m3s : null,
    asked,
  );
  if (along === null || !(along.fits > follows)) return null;
  const length_s = now.time_s - from.time_s;
  const flows = along.flow_m3s.slice(asked);
  const steps_s = flows.map((_, i) => (readings[asked + i + 1]?.time_s ?? 0) - (readings[asked + i]?.time_s ?? 0));
  const flow_m3s = flows.reduce((sum, flow, i) => sum + flow * (steps_s[i] ?? 0), 0) / length_s;
  const ran_s = now.ran_s - from.ran_s;
  const { flow_m3s: moves_m3s } = along.pump;
  const share = flow_m3s / moves_m3s;
  const through = timesThroughCycle(share, active_m3, moves_m3s, length_s, context.interval_s);
  // In step, at all readings the pump runs, or at none.
  const ran = keepsStep(through) ? share : ran_s / length_s;
  if (isBelied(share, ran, length_s / context.interval_s)) return null;
  const inflow = {
    flow_m3s,
    uFlow_m3s: Math.hypot(along.uMean_m3s, uAlike * flow_m3s, moves_m3s * uShareInStep(share, through)),
    degreesOfFreedom: along.pump.degreesOfFreedom,
  };
  state.pump = learnedPump(pump, along.pump, share, active_m3);
  const end = { time_s: now.time_s, pump: state.pump, flow_m3s: flows.at(-1) ?? flow_m3s };
  state.ends = [...state.ends.slice(-(mostEnds - 1)), end];
  const volume_m3 = flow_m3s * length_s - (now.volume_m3 - from.volume_m3);
  const starts = startsOfStretch(from.time_s, flows, steps_s, inflow, along.pump, active_m3);
  return {
    inflow,
    starts,
    parts: flows.map((flow, i) => ({
      ...inflow,
      flow_m3s: flow,
      uBend_m3s: leftOver * (along.u_m3s[asked + i] ?? 0),
    })),
    pumped: {
      volume_m3,
      uVolume_m3: inflow.uFlow_m3s * length_s,
      run_s: Number.isNaN(ran_s) ? volume_m3 / moves_m3s + lostInSpinUp_s * starts.starts : ran_s,
    },
    uByChance_m3s: inflow.uFlow_m3s,
    counted: null,
  };
}

/**
 * Nearly as much comes in as the pump moves, and it was seen to run for far less of the time: levels that only jump about
 * follow from one another best by rests of no length.
 */
function isBelied(share: number, ran: number, readings: number): boolean {
  if (share > nearlyAll && ran < runsThen * share) return true;
  return share * readings > manyInRuns && ran < hardlyRuns * share;
}

function surest(a: FlowEstimate | null, b: FlowEstimate | null): FlowEstimate | null {
  // Where nothing is to be relied on of the pump, what it used to move is no help.
  if (a === null || b === null) return a;
  return b.uFlow_m3s * a.flow_m3s < a.uFlow_m3s * b.flow_m3s ? b : a;
}

function learnFrom(found: OverStretch | null, context: SparseContext): void {
  if (found === null || found.counted === null) return;
  const { cycles, uRan_s } = found.counted;
  const { volume_m3, run_s } = found.pumped;
  if (cycles >= cyclesToLearn && uRan_s < vague * run_s)
    context.learn(volume_m3, run_s - lostInSpinUp_s * cycles, uRan_s);
}

/** Few enough runs, for long enough, to follow each. */
function isRoomy(state: RunShareState, context: SparseContext): boolean {
  const { marks, from, on } = state;
  const room = context.byLevel ? roomy.byLevel : roomy.bySignal;
  const now = marks.at(-1) as Mark;
  if (now.time_s - (from as Mark).time_s < fewest * context.interval_s) return false;
  const then = marks[Math.max(0, marks.length - lately)] as Mark;
  const readings = (now.time_s - then.time_s) / context.interval_s;
  if ((now.runs - then.runs) * room > readings) return false;
  if (context.active_m3 !== null && (state.flow?.flow_m3s ?? 0) * room * context.interval_s > context.active_m3)
    return false;
  if (on === null) return true;
  const found = overStretch(state.marks[0] as Mark, then, now, context);
  if (found === null || context.active_m3 === null)
    return now.ran_s - then.ran_s < seldomOn * (now.time_s - then.time_s);
  return found.inflow.flow_m3s * room * context.interval_s < context.active_m3;
}
