// Inflow where readings are too far apart to follow the runs one by one: by the share of the readings at which the pump
// runs, what it moves, and what the water has risen meanwhile. Says when that is so, and takes over until it no longer is.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { type CyclePhase, newCyclePhase, notePhase, shareOfRun } from "./cycle-phase.ts";
import { lostInSpinUp_s } from "./fit-run.ts";
import { type Mark, type OverStretch, overStretch, type PumpedByShare, type SparseContext } from "./over-stretch.ts";

export interface RunShareState {
  /** Latest readings, oldest first. */
  marks: Mark[];
  on: boolean | null;
  fell: boolean;
  readonly strobe: CyclePhase;
  /** Where the stretch in progress begins; null while rests and runs tell the inflow themselves. */
  from: Mark | null;
  /** Up to here it is handed on. */
  upTo_s: number;
  /** Rests in a row that showed nothing, and had the inflow known before. */
  standIns: number;
  /** Of the newest stretch. */
  flow: FlowEstimate | null;
}

export function newRunShare(): RunShareState {
  return {
    marks: [],
    on: null,
    fell: false,
    strobe: newCyclePhase(),
    from: null,
    upTo_s: Number.NEGATIVE_INFINITY,
    standIns: 0,
    flow: null,
  };
}

export interface SparseReading {
  readonly time_s: number;
  readonly volume_m3: number;
  readonly on: boolean | null;
}

/** Of one stretch: its inflow, and what the pump moved in it; null where neither is known. */
export interface ShareOutput {
  stretch(
    from_s: number,
    to_s: number,
    known: { readonly inflow: FlowEstimate; readonly pumped: PumpedByShare } | null,
  ): void;
}

/**
 * So many runs among so many readings, whatever tells of them: a rest has hardly three, and shows no slope. Turns of the
 * level itself are dated badly before that.
 */
const crowded = 6;
const lookedAt = { bySignal: 20, byLevel: 33 } as const;
const remembered = 120;
/** Rests that would hold so many readings are followed by themselves again, when that has been so for as many as this. */
const roomy = 6;
const fewest = 24;
const lately = 60;
/** … but for what the strobe still follows. */
const stillCrowded = 1.5;
/** A level that sinks by this share of the swing from one reading to the next has been pumped. */
const fallOfSwing = 0.12;
/** Without knowing what the pump moves: it runs for less than this share of the time. */
const seldomOn = 0.1;
/** The strobe has lost count where the time that it gives the pump is so many times that which was seen, or so much less. */
const timesOff = 2.5;
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
  const again = isRoomy(state, context);
  const found = overStretch(state.marks[0] as Mark, state.from, now, context);
  const long = now.time_s - state.from.time_s >= longest_s;
  if (!again && !long && !(found !== null && found.uByChance_m3s <= wellKnown * found.inflow.flow_m3s)) return;
  close(state, now, context, output);
  if (again) state.from = null;
}

/** A gap, or the end: nothing is known beyond the newest reading. */
export function breakShare(state: RunShareState, context: SparseContext, output: ShareOutput): void {
  const last = state.marks.at(-1);
  if (state.from !== null && last !== undefined) close(state, last, context, output);
  Object.assign(state, { ...newRunShare(), upTo_s: state.upTo_s });
}

/** The inflow is told by the share of time now. */
export function byShare({ from }: RunShareState): boolean {
  return from !== null;
}

function noteMark(state: RunShareState, reading: SparseReading, context: SparseContext): void {
  const { marks, strobe } = state;
  const { time_s, volume_m3, on } = reading;
  const { active_m3 } = context;
  follow(state, reading, context);
  const before = marks.at(-1) ?? { time_s, volume_m3, ran_s: 0, starts: 0, runs: 0, cycles: 0 };
  const half_s = (time_s - before.time_s) / 2;
  const fell = active_m3 !== null && before.volume_m3 - volume_m3 > fallOfSwing * active_m3;
  const started = on === true && state.on === false;
  // Between two readings at rest a whole run shows as a fall; without a signal falls one after the other may be one run.
  const unseen = fell && (on === null ? !state.fell : on === false && state.on === false);
  marks.push({
    time_s,
    volume_m3,
    ran_s: on === null ? Number.NaN : before.ran_s + half_s * (Number(on) + Number(state.on)),
    starts: before.starts + Number(started),
    runs: before.runs + Number(started || unseen),
    cycles: strobe.cycles,
  });
  state.on = on;
  state.fell = fell;
  if (marks.length >= 2 * remembered) state.marks = marks.slice(-remembered);
}

function follow(
  { marks, strobe }: RunShareState,
  { volume_m3, on }: SparseReading,
  { active_m3, stop_m3, pump, interval_s }: SparseContext,
): void {
  const moves = pump();
  if (on === null || active_m3 === null || stop_m3 === null || moves === null) return;
  const shortestRun = active_m3 / moves.flow_m3s / interval_s;
  const now = marks.at(-1);
  const then = marks[marks.length - remembered];
  // What begins or ends all at once is lost count of: then the time that the pump ran for long says how often about.
  if (now !== undefined && then !== undefined) {
    const runs = (now.ran_s - then.ran_s) / (now.time_s - then.time_s);
    const told = shareOfRun((now.cycles - then.cycles) / remembered, shortestRun);
    const lost = Math.max(runs, told) > timesOff * Math.min(runs, told) + seldomOn / 2;
    if (lost) strobe.perReading = (runs * (1 - runs)) / shortestRun;
  }
  notePhase(strobe, { full: (volume_m3 - stop_m3) / active_m3, on, shortestRun });
}

function isCrowded({ marks, standIns, on }: RunShareState, { byLevel }: SparseContext): boolean {
  const now = marks.at(-1);
  const then = marks[marks.length - 1 - (byLevel && on !== null ? lookedAt.byLevel : lookedAt.bySignal)];
  if (now === undefined || then === undefined) return false;
  return now.runs - then.runs >= crowded || (on !== null && standIns >= mostStandIns);
}

/** From where rests and runs were handed on up to, as far as the readings are still known. */
function begin(state: RunShareState, output: ShareOutput): void {
  const { marks, upTo_s } = state;
  const from = marks.find(({ time_s }) => !(time_s < upTo_s)) ?? (marks.at(-1) as Mark);
  if (from.time_s > upTo_s && Number.isFinite(upTo_s)) output.stretch(upTo_s, from.time_s, null);
  state.upTo_s = from.time_s;
  state.from = from;
  state.standIns = 0;
}

function close(state: RunShareState, now: Mark, context: SparseContext, output: ShareOutput): void {
  const from = state.from as Mark;
  const found = overStretch(state.marks[0] as Mark, from, now, context);
  if (now.time_s > from.time_s) output.stretch(from.time_s, now.time_s, found);
  learnFrom(found, context);
  state.flow = found?.inflow ?? null;
  state.upTo_s = now.time_s;
  state.from = now;
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
  const now = marks.at(-1) as Mark;
  if (now.time_s - (from as Mark).time_s < fewest * context.interval_s) return false;
  const then = marks[Math.max(0, marks.length - lately)] as Mark;
  const readings = (now.time_s - then.time_s) / context.interval_s;
  if ((now.runs - then.runs) * roomy > readings || state.strobe.perReading * roomy > stillCrowded) return false;
  if (on === null) return true;
  const found = overStretch(state.marks[0] as Mark, then, now, context);
  if (found === null || context.active_m3 === null)
    return now.ran_s - then.ran_s < seldomOn * (now.time_s - then.time_s);
  return found.inflow.flow_m3s * roomy * context.interval_s < context.active_m3;
}
