// Inflow where readings are too far apart to follow the runs one by one: by how far each lies in its cycle or, where that
// leads nowhere, by the share of them at which the pump runs. Says when that is so, and takes over until it no longer is.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { lostInSpinUp_s } from "../../pump-flow/fit-run.ts";
import { type Followed, follow, overTime, placeOf, pumpNow } from "./follow-marks.ts";
import { noteMark, remembered } from "./note-mark.ts";
import {
  fewestOver,
  inflowOverFloats,
  isOver,
  mayStand,
  mayStopNext,
  noteOver,
  type OverFloats,
  risesSlowly,
  roseSince,
  runsOverFloats,
} from "./over-floats.ts";
import { type Mark, type OverStretch, overStretch, type PumpedByShare, type SparseContext } from "./over-stretch.ts";
import { isDry, ranDry } from "./ran-dry.ts";
import { noteReckoned, type StartsOfStretch } from "./reckoned-starts.ts";
import { newRunShare, type RunShareState, type SparseReading } from "./run-share-state.ts";

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
/** Rests that would hold so many readings are followed by themselves again, when that has been so for as many as this. */
const roomy = { bySignal: 6, byLevel: 8 } as const;
const fewest = 24;
const lately = 60;
/** Without knowing what the pump moves: it runs for less than this share of the time. */
const seldomOn = 0.1;
/** Cycles are followed over so many readings at a time, with the help of some before; of more once those were followed, too. */
const followed = 24;
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
  if (runsOn(state, reading, context, output)) return;
  noteMark(state, reading, context);
  if (state.from === null) {
    if (isCrowded(state, context)) begin(state, output);
    return;
  }
  const now = state.marks.at(-1) as Mark;
  const dry = ranDry(state.marks, state.from, context);
  if (dry && !isDry(now, context)) hand(state, now, null, output);
  if (dry) return;
  // Whether that is a rest or a run that no longer lowers the water shows later.
  if (
    now.on === null &&
    risesSlowly(state.marks, state.from, cameInOfLate_m3s(state, context), pumpNow(state, context), context)
  )
    return;
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

/** The pump runs on over where its float starts it: what came in is told once it has taken the water down. */
function runsOn(state: RunShareState, reading: SparseReading, context: SparseContext, output: ShareOutput): boolean {
  if (reading.on !== null) return false;
  const { over } = state;
  if (over?.runs) {
    const before = over.readings.at(-1) as SparseReading;
    noteOver(over, reading);
    if (mayStand(over, cameInOfLate_m3s(state, context), context)) {
      forgetOver(state, reading, context, output);
      return true;
    }
    if (isOver(reading, context) || !mayStopNext(before, reading, context)) return true;
    handOver(state, over, reading, context, output);
    return true;
  }
  if (!isOver(reading, context)) {
    delete state.over;
    return false;
  }
  const now = over ?? { readings: [], runs: null };
  state.over = now;
  if (now.runs !== null) return false;
  noteOver(now, reading);
  if (now.readings.length < fewestOver) return false;
  now.runs = runsOverFloats(now.readings, cameInOfLate_m3s(state, context), pumpNow(state, context), context);
  if (!now.runs) return false;
  if (state.from === null) begin(state, output);
  const from = state.from as Mark | null;
  // What the last on its way up seem to be of rests is no part of the cycles before.
  const up = Math.max(1, roseSince(state.marks, cameInOfLate_m3s(state, context), context));
  const since = state.marks.splice(up).filter(({ time_s }) => time_s > (from?.time_s ?? time_s));
  now.readings = [];
  for (const level of [...since, reading]) noteOver(now, level);
  const last = state.marks.at(-1) as Mark;
  if (from !== null && from.time_s < last.time_s) close(state, last, context, output);
  return true;
}

/** The most that came in of late, by the cycles that were followed or by the rests. */
function cameInOfLate_m3s(state: RunShareState, context: SparseContext): number {
  const now_s = state.marks.at(-1)?.time_s ?? Number.POSITIVE_INFINITY;
  const ends = state.ends.filter(({ time_s }) => now_s - time_s < remembered * context.interval_s);
  return Math.max(0, context.rests()?.flow_m3s ?? 0, ...ends.map(({ flow_m3s }) => flow_m3s));
}

/** What came in while the water was over the floats stays unknown, and rests and runs tell by themselves from here on. */
function forgetOver(state: RunShareState, reading: SparseReading, context: SparseContext, output: ShareOutput): void {
  noteMark(state, reading, context);
  hand(state, state.marks.at(-1) as Mark, null, output);
  beginAnew(state);
  state.over = { readings: [], runs: false };
}

function handOver(
  state: RunShareState,
  over: OverFloats,
  reading: SparseReading,
  context: SparseContext,
  output: ShareOutput,
): void {
  delete state.over;
  const { active_m3, stop_m3, noise_m3 } = context;
  const pump = pumpNow(state, context);
  noteMark(state, reading, context);
  const known = pump !== null && active_m3 !== null && stop_m3 !== null;
  const found = known
    ? inflowOverFloats(state.from as Mark, over, pump, { active_m3, stop_m3, noise_m3 }, context.tilt())
    : null;
  hand(state, state.marks.at(-1) as Mark, found, output);
}

/** A gap, or the end: nothing is known beyond the newest reading. */
export function breakShare(state: RunShareState, context: SparseContext, output: ShareOutput): void {
  const last = state.marks.at(-1);
  if (state.from !== null && last !== undefined) close(state, last, context, output);
  beginAnew(state);
}

function beginAnew(state: RunShareState): void {
  const { upTo_s, pump, reckoned, contact } = state;
  delete state.over;
  delete state.times;
  delete state.fits;
  delete state.stoodIn;
  Object.assign(state, { ...newRunShare(), upTo_s, pump, reckoned, contact });
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

/** Every so many readings. */
function hasRoomFor(marks: readonly Mark[], from: Mark): boolean {
  const since = marks.length - 1 - placeOf(marks, from);
  return since > 0 && since % followed === 0;
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
