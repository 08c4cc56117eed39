// Water that a household pours out within minutes, read so seldom that whole runs go by unseen beside it, and rests hold too
// few readings for a line. Where it is known of each reading whether the pump runs, what came in between two of them is known all
// the same, by what the water rose and what the pump moved.

import { medianInPlace } from "../../statistics/median.ts";
import { type CameIn, cameInBetween, type PumpBetween, type Standing } from "./between-readings.ts";

/** From the reading before to this one. */
export interface BurstStep {
  readonly to_s: number;
  readonly length_s: number;
  readonly came: CameIn;
  /** What of it may have run back after a stop, as far as a rest shows: all beyond calm weather's. */
  readonly returned_m3: number;
  /** The pump ran at either reading. */
  readonly runs: boolean;
}

export interface Burst {
  readonly from_s: number;
  readonly steps: BurstStep[];
  /** Steps at its end in which no more came than in calm weather. */
  calm: number;
}

export interface BurstsState {
  /** The reading before the newest, and the newest, which may yet prove to be wrong. */
  before: Standing | null;
  newest: Standing | null;
  /** One between the two that was taken for wrong. */
  alone: Standing | null;
  /** Of the latest steps in which nothing poured in: flow, oldest first; their middle, and how far off it they are. */
  calm_m3s: number[];
  usual_m3s: number;
  spread_m3s: number;
  /** The latest of all steps, in two where one between was taken for wrong; whether more came in than in calm weather. */
  latest: { readonly steps: readonly BurstStep[]; readonly more: boolean } | null;
  /** Water pours in; null: it does not. */
  burst: Burst | null;
  /** Of the latest readings, about: how many there were, and how many were taken for wrong. */
  readings: number;
  wrong: number;
}

export function newBursts(): BurstsState {
  return {
    ...{ before: null, newest: null, alone: null, latest: null, burst: null },
    ...{ calm_m3s: [], usual_m3s: Number.NaN, spread_m3s: 0, readings: 0, wrong: 0 },
  };
}

/** A reading; what the pump does is null where nothing but the level tells. */
export interface Read extends Omit<Standing, "on"> {
  readonly on: boolean | null;
}

export interface BurstContext extends PumpBetween {
  readonly interval_s: number;
  /** Standard deviation of a reading; 0 while it is not known. */
  readonly noise_m3: number;
  /** … of the volume at which a float trips. */
  readonly scatter_m3: number;
  /** A step of the level sensor; Infinity before any is seen. */
  readonly step_m3: number;
}

/** What comes in calm weather goes by the middle of so many steps, and of no fewer than that. */
const remembered = 15;
const fewest = 9;
/** Normal values. */
const sdOfMad = 1.4826;
/** More than that poured in: by so much of what lies between the floats, and standard deviations of a reading. */
const shareOfSwing = 0.1;
const clearly = 4 * Math.SQRT2;
/** At rest a fall by so much of it is a run. */
const fallOfSwing = 0.12;
/** It is over after so many calm steps; what goes on for so long is a storm, which rests and runs follow. Judgement, no source. */
const calmAfter = 2;
const longest_s = 900;
/** In all so much more came than in calm weather, as a share of what lies between the floats: less shows in the rests beside it. */
const worthwhile = 0.25;

/** Of what a run lifted hardly more comes back at once. Judgement, no source. */
const mostBack = 0.5;
/** Two levels in a row may be wrong: leaps of so many steps there and back. More are none. */
const leaps = 3;
/** Where such a share of the latest readings is wrong, two or three about a run look like a burst. Judgement, no source. */
const lately = 500;
const mostWrong = 0.007;
const fewestWrong = 2;

/**
 * Takes a reading.
 *
 * @returns a burst that is over
 */
export function noteBurst(state: BurstsState, reading: Read, context: BurstContext): Burst | null {
  const { before } = state;
  if (isSaidAgain(state.newest, reading, state, context)) return null;
  const now = { ...reading, on: reading.on === true };
  const newest = reading.on === null ? asInRun(state, now, context) : state.newest;
  state.newest = now;
  if (newest === null) return null;
  if (before === null) {
    state.before = newest;
    return null;
  }
  const alone = isAlone(before, newest, now, state, context);
  state.readings += 1 - state.readings / lately;
  state.wrong += Number(alone) - state.wrong / lately;
  if (alone) {
    state.alone = newest;
    return null;
  }
  state.before = newest;
  const between = state.alone;
  state.alone = null;
  return noteStep(state, before, between, newest, context);
}

/** The pump, or calm weather, moves the water by more than a step meanwhile: the very same level is none, but the last one held. */
function isSaidAgain(last: Standing | null, now: Read, state: BurstsState, { step_m3 }: BurstContext): boolean {
  if (last === null || now.volume_m3 !== last.volume_m3) return false;
  return now.on === true || state.usual_m3s * (now.time_s - last.time_s) > step_m3;
}

/** Where no contact tells: a level that falls, and falls on, is of a run that holds no other reading. */
function asInRun({ before, alone, newest }: BurstsState, now: Standing, context: BurstContext): Standing | null {
  const from = alone ?? before;
  if (newest === null || from === null || from.on) return newest;
  const fall_m3 = leastFall_m3(context);
  const falls = from.volume_m3 - newest.volume_m3 > fall_m3 && newest.volume_m3 - now.volume_m3 > fall_m3;
  return falls ? { ...newest, on: true } : newest;
}

/** Nothing is known of what follows; one that goes on yet is left to rests and runs. */
export function breakBursts(state: BurstsState): void {
  const { readings, wrong } = state;
  Object.assign(state, { ...newBursts(), readings, wrong });
}

function noteStep(
  state: BurstsState,
  from: Standing,
  alone: Standing | null,
  to: Standing,
  context: BurstContext,
): Burst | null {
  const step = stepOf(from, to, state, context);
  const more = poursIn(step, state, context);
  const { latest, burst } = state;
  const begins = burst === null && more && !isSpiky(state) && showsPour(step, from, to, state, context);
  const parts = alone === null ? [step] : [stepOf(from, alone, state, context), stepOf(alone, to, state, context)];
  state.latest = { steps: parts, more: parts.some((part) => poursIn(part, state, context)) };
  if (burst === null) {
    if (begins) state.burst = begun(step, latest);
    else if (!more) remember(state, step);
    return null;
  }
  burst.steps.push(step);
  burst.calm = more ? 0 : burst.calm + 1;
  if (burst.calm < calmAfter && to.time_s - burst.from_s < longest_s) return null;
  state.burst = null;
  if (burst.calm < calmAfter) for (const each of burst.steps) remember(state, each);
  return burst.calm >= calmAfter && isBurst(burst, state, context) ? burst : null;
}

/**
 * Far more came in than in calm weather, and the pump ran: a rest shows by itself what poured in without. Where no reading told
 * that it ran, and the water stands where calm weather had brought it, levels leapt there and back.
 */
function isBurst(burst: Burst, state: BurstsState, context: BurstContext): boolean {
  const { steps } = burst;
  let [came_m3, pumped_m3, length_s] = [0, 0, 0];
  for (const step of steps) {
    came_m3 += step.came.volume_m3;
    pumped_m3 += step.came.pumped_m3;
    length_s += step.length_s;
  }
  const calm_m3 = state.usual_m3s * length_s;
  const least_m3 = Math.max(worthwhile * context.active_m3, leastOf_m3(state, context, true));
  if (!(pumped_m3 > 0 && came_m3 - calm_m3 > least_m3)) return false;
  // Water comes in and is pumped, and goes nowhere else: the level jumps about.
  if (steps.some((step) => loses(step, state, context))) return false;
  // A slow sensor sinks on after a run that nothing saw, as if it were another; and one may be set lower.
  const shows = (step: BurstStep) => step.runs || (step.came.pumped_m3 === 0 && poursIn(step, state, context));
  if (!steps.some(shows)) return false;
  if (steps.length - burst.calm > leaps || steps.some(({ runs }) => runs)) return true;
  return Math.abs(came_m3 - pumped_m3 - calm_m3) > leastOf_m3(state, context, false);
}

/**
 * What comes back through a valve does so after each stop: that, or the level of a slow sensor, begins no burst. Beside a run
 * that no reading saw it takes more than comes back.
 */
function showsPour(step: BurstStep, from: Standing, to: Standing, state: BurstsState, context: BurstContext): boolean {
  const { latest } = state;
  if (from.on) return false;
  if (to.on) return true;
  if (step.came.pumped_m3 > 0)
    return step.came.volume_m3 - state.usual_m3s * step.length_s > mostBack * context.active_m3;
  return latest === null || !(latest.more || latest.steps.some(({ came }) => came.pumped_m3 > 0));
}

/** With the step before, where more came in that, too. */
function begun(step: BurstStep, latest: BurstsState["latest"]): Burst {
  const steps = latest?.more ? [...latest.steps, step] : [step];
  return { from_s: (steps[0] as BurstStep).to_s - (steps[0] as BurstStep).length_s, steps, calm: 0 };
}

/** The one between two others is a wrong level: with it more came in than in calm weather, or left, and without it neither. */
function isAlone(a: Standing, b: Standing, c: Standing, state: BurstsState, context: BurstContext): boolean {
  if (b.on) return false;
  if (liesBeyond(b, state, context) && !liesBeyond(a, state, context) && !liesBeyond(c, state, context)) return true;
  // One wrong level in a row: what goes on to be odd is water.
  if (state.alone !== null || state.latest?.more || state.burst !== null) return false;
  if (state.calm_m3s.length < fewest) return false;
  const odd = (step: BurstStep) => poursIn(step, state, context) || loses(step, state, context);
  if (!odd(stepOf(a, b, state, context)) && !odd(stepOf(b, c, state, context))) return false;
  return !odd(stepOf(a, c, state, context));
}

function isSpiky({ readings, wrong }: BurstsState): boolean {
  return wrong > Math.max(fewestWrong, mostWrong * readings);
}

/** At rest the water stands between the float's levels. */
function liesBeyond({ volume_m3, on }: Standing, state: BurstsState, context: BurstContext): boolean {
  const { stop_m3, active_m3 } = context;
  const off_m3 = leastOf_m3(state, context, true);
  return !on && (volume_m3 < stop_m3 - off_m3 || volume_m3 > stop_m3 + active_m3 + off_m3);
}

function stepOf(from: Standing, to: Standing, state: BurstsState, context: BurstContext): BurstStep {
  const came = cameInBetween(from, to, context, leastFall_m3(context));
  const length_s = to.time_s - from.time_s;
  const more_m3 = came.volume_m3 - Math.max(0, state.usual_m3s || 0) * length_s;
  return { to_s: to.time_s, length_s, came, returned_m3: to.on ? 0 : Math.max(0, more_m3), runs: from.on || to.on };
}

function poursIn({ came, length_s }: BurstStep, state: BurstsState, context: BurstContext): boolean {
  if (state.calm_m3s.length < fewest) return false;
  const calm_m3 = Math.max(0, state.usual_m3s) * length_s;
  return came.volume_m3 - calm_m3 > Math.max(calm_m3, leastOf_m3(state, context, came.pumped_m3 > 0));
}

function loses({ came }: BurstStep, state: BurstsState, context: BurstContext): boolean {
  return came.volume_m3 < -leastOf_m3(state, context, came.pumped_m3 > 0);
}

/** @param trips what the pump moved is reckoned by where its float trips */
function leastOf_m3(state: BurstsState, context: BurstContext, trips: boolean): number {
  const sd_m3 = Math.hypot(noise_m3(state, context), trips ? context.scatter_m3 : 0);
  return Math.max(shareOfSwing * context.active_m3, clearly * sd_m3);
}

/** As the latest calm steps show it, once there are enough: of rests, what poured in within them passes for noise. */
function noise_m3(state: BurstsState, context: BurstContext): number {
  const known = state.calm_m3s.length >= fewest;
  return known ? (state.spread_m3s * context.interval_s) / Math.SQRT2 : context.noise_m3;
}

function leastFall_m3({ active_m3, noise_m3: sd_m3 }: BurstContext): number {
  return Math.max(fallOfSwing * active_m3, clearly * sd_m3);
}

function remember(state: BurstsState, { came, length_s }: Pick<BurstStep, "came" | "length_s">): void {
  const { calm_m3s } = state;
  calm_m3s.push(came.volume_m3 / length_s);
  if (calm_m3s.length > remembered) calm_m3s.shift();
  const usual_m3s = medianInPlace([...calm_m3s]);
  state.usual_m3s = usual_m3s;
  state.spread_m3s = sdOfMad * medianInPlace(calm_m3s.map((flow_m3s) => Math.abs(flow_m3s - usual_m3s)));
}
