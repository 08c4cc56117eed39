// Whether a motor runs, by the current or power on its line: the readings fall into two heaps, one of what draws while it
// stands (a lamp, a controller) and one of what it draws at work, and the line between them is learned. Inrush is in
// neither.

import { findLine, halve, highestLoad, leastRatio, newHeaps, put } from "./load-heaps.ts";
import { type LoadKind, smallest } from "./load-kind.ts";
import { type LoadStartsState, newLoadStarts, noteJump, noteStands, startsIn } from "./load-starts.ts";
import { type LoadTurnState, newLoadTurn, noteTurn } from "./load-turn.ts";

export interface LoadSplitState {
  /** Readings by their size, in steps of equal ratio; what lies under the least a motor draws is in the first. */
  readonly heaps: number[];
  readings: number;
  /** Readings until the line is drawn anew. */
  untilLook: number;
  /** Middle of either heap; NaN before both are known. */
  standing: number;
  running: number;
  /** Highest load of late, inrush left out, falling off slowly: the measure until then. */
  highest: number;
  last: number;
  last_s: number;
  jumpedAt_s: number;
  turn?: LoadTurnState;
  starts?: LoadStartsState;
  /** The least that has started and was taken for the motor, and starts of as much since that were known to be something else's. */
  leastOn?: number;
  others?: number;
}

export function newLoadSplit(): LoadSplitState {
  return {
    heaps: newHeaps(),
    readings: 0,
    untilLook: 1,
    standing: Number.NaN,
    running: Number.NaN,
    highest: 0,
    last: 0,
    last_s: Number.NaN,
    jumpedAt_s: Number.NaN,
  };
}

/** A motor draws its inrush, five to seven times as much, for less than this; common practice, no source. */
const inrush_s = 1;
const jump = 1.5;
/** Readings further apart than this catch an inrush too seldom to mind, and whole runs with one reading. */
const seldom_s = 2;
/** So much of the way from standing to running tells that it runs, and so little that it stands. */
const surelyRuns = 0.45;
const surelyStands = 0.25;
/** So many times the least a motor draws is more than what stands at about that, and goes to and fro over it with its noise. */
const surelyMotor = 1.5;
const fades = 0.99999;

/**
 * Takes a load.
 *
 * @param on what was said before; it stays between the two limits
 */
export function isLoaded(
  state: LoadSplitState,
  kind: LoadKind,
  time_s: number,
  load: number,
  on: boolean | null,
): boolean | null {
  const apart_s = time_s - state.last_s;
  state.starts ??= newLoadStarts();
  let started = false;
  if (load > kind.least && !(load <= jump * state.last)) {
    state.jumpedAt_s = time_s;
    noteJump(state.starts, time_s, load);
  } else started = noteStands(state.starts, time_s, load, kind.least);
  state.last = load;
  state.last_s = time_s;
  if (!(time_s - state.jumpedAt_s < inrush_s) || apart_s > seldom_s) learn(state, kind, load);
  const standing = Number.isNaN(state.standing) ? 0 : state.standing;
  const running = Number.isNaN(state.running) ? Math.max(state.highest, smallest * kind.least) : state.running;
  const now = sideOf(kind, standing, running, load) ?? on;
  if (started && now === true) state.leastOn = Math.min(load, state.leastOn ?? load);
  if (started && now === false && isAsMuch(load, state.leastOn)) state.others = (state.others ?? 0) + 1;
  state.turn ??= newLoadTurn();
  noteTurn(state.turn, time_s, (load - standing) / (running - standing), on, now);
  return now;
}

/** So many more starts of what was taken for the motor, and it was never that: a motor that has been replaced starts no more. */
const surelyOther = 3;
/** From start to start a load differs by less than this share; judgement, no source. */
const asMuch = 0.25;

function isAsMuch(load: number, leastOn: number | undefined): boolean {
  return leastOn !== undefined && Math.abs(load - leastOn) < asMuch * leastOn;
}

/** Whether something else was taken for the motor, before that had shown itself; said once. */
export function tookOther(state: LoadSplitState, kind: LoadKind): boolean {
  const { leastOn, others = 0, standing, running } = state;
  if (leastOn === undefined || others < surelyOther) return false;
  state.others = 0;
  if (sideOf(kind, standing, running, leastOn) !== false) return false;
  delete state.leastOn;
  return true;
}

function sideOf({ least }: LoadKind, standing: number, running: number, load: number): boolean | null {
  if (load > Math.max(surelyMotor * least, standing + surelyRuns * (running - standing))) return true;
  if (load < Math.max(least, standing + surelyStands * (running - standing))) return false;
  return null;
}

/** A day or so at one reading a second: what was longer ago counts less. */
const mostReadings = 100_000;
const looksEvery = 256;

function learn(state: LoadSplitState, kind: LoadKind, load: number): void {
  if (!Number.isFinite(load)) return;
  state.highest = Math.max(load, state.highest * fades);
  put(state.heaps, load, kind.least);
  state.readings += 1;
  state.untilLook -= 1;
  if (state.untilLook > 0) return;
  state.untilLook = Math.min(looksEvery, Math.ceil(state.readings / 4));
  drawLine(state, kind);
  if (state.readings < mostReadings) return;
  state.readings /= 2;
  halve(state.heaps);
}

/** So many of all starts are the motor's, beside those of what draws less; judgement, no source. */
const leastStarts = 0.05;
/** What has started as often as that is no tool that somebody plugged in once. */
const fewestStarts = 2;

/**
 * Where starts fall into two heaps, the motor's are the higher one: what stands beside it for long (a fridge, a heater) has
 * more readings than the motor, and would be taken for it by these. Nor is it, once something has been seen to start that
 * draws far more. With too few readings in either heap, what was known stays.
 */
function drawLine(state: LoadSplitState, kind: LoadKind): void {
  state.starts ??= newLoadStarts();
  const { heaps } = state.starts;
  const byStarts = findLine(heaps, kind, leastStarts);
  if (byStarts !== null && byStarts.running > 0) {
    Object.assign(state, byStarts);
    return;
  }
  const line = findLine(state.heaps, kind);
  const often = Math.max(fewestStarts, leastStarts * startsIn(state.starts));
  if (line !== null && !(highestLoad(heaps, kind, often) > leastRatio * line.running)) Object.assign(state, line);
}
