// A check valve that begins to leak in a storm, whose rests are over long before the pipe is empty. What comes back adds to
// what seems to come in while the pump rests, and not while it runs: so the pump seems to move more by as much, which no
// pump does by itself; and it comes the slower the longer the rest, so that each is bent by it.
//
// Through an opening comes V·(2/τ)·(1 − t/τ) of the V that the pipe holds until it is empty at τ. Over rests of length T < τ
// that bends the volume by b = −V/τ² and adds G = (2V/τ)·(1 − T/2τ) on the average. So τ = G/(2·|b|) + T/2, and V = |b|·τ².

import { closing_m3 } from "./drain-back.ts";
import { longest_s, slowlyOut } from "./slow-course.ts";
import type { SlowReturn } from "./slow-return.ts";

export interface LeakByGain {
  /** What the pump moved before it seemed to gain, how that scatters, and of how many runs; older ones fade. */
  rate_m3s: number;
  variance: number;
  runs: number;
  /** How much of what came in rests were bent by before: sums of inflow² and of inflow × bend, weighted. */
  inflowSquare: number;
  inflowBend: number;
  /** The bend of the latest rest, m³/s²; null where it shows none. */
  rest: { readonly bend_m3s2: number; readonly precision: number } | null;
  /** The latest runs and rests, newest last. */
  readonly latest: RunAndRest[];
  gaining: Gaining | null;
}

/** Runs since the pump began to seem to move more: sums over them and the rests after them. */
interface Gaining {
  /** Sum of what goes beyond the allowance, in standard deviations (Page, 1954). */
  cusum: number;
  runs: number;
  gain_m3s: number;
  variance: number;
  /** How long the rests were. */
  duration_s: number;
  /** Of those that show a bend: how many, their bends, and how fast a storm grew meanwhile. */
  rests: number;
  bend_m3s2: number;
  bendSquare: number;
  precision: number;
  growth_m3s2: number;
  last: { readonly inflow_m3s: number; readonly stoppedAt_s: number } | null;
  /** As much more seemed to come in from the very stop on. */
  stepped: boolean;
  /** They have shown a leak. */
  told: boolean;
}

/** A settled run, and the rest after it. */
export interface RunAndRest {
  /** What the run moved, at one level with those before it. */
  readonly rate_m3s: number;
  readonly uRate_m3s: number;
  readonly inflow_m3s: number;
  readonly uInflow_m3s: number;
  readonly rest_s: number;
  readonly stoppedAt_s: number;
}

/** Share of the past that counts on at every new run: a memory of some fifty; of the gain that a known leak makes, of some fifteen. */
const memory = 0.98;
const memoryOfGain = 0.93;
const fewestBefore = 10;
/** Allowance and decision interval of the sum: as for the loss of flow (see pump-history.ts). */
const allowance = 0.5;
const decisionInterval = 8;
/** No run counts for more than so many standard deviations. */
const mostOfRun = 3;
/** Runs of one pump scatter by this share at the least; common practice, no source. */
const leastScatter = 0.01;
/** Less of a gain may be the supply's voltage, or the level. Judgement, no source. */
const leastGain = 0.015;
const hardlyAny = 0.5;
const fewestRuns = 5;
const fewestBends = 8;
/** Of their standard deviations. */
const clearly = 4;
/** So many runs in which no leak shows: the pump was cleaned, or its pipe set free. */
const mostRuns = 100;

export function newLeakByGain(): LeakByGain {
  return { rate_m3s: 0, variance: 0, runs: 0, inflowSquare: 0, inflowBend: 0, rest: null, latest: [], gaining: null };
}

/**
 * Takes in a run and the rest after it, whose bend is `state.rest`.
 *
 * @param known   the leak that this has found before, and that is taken out of inflow and rates since; null before
 * @param most_m3 that the pipe can hold
 * @returns the leak, once run and rest both show it, and then as the latest of them do; null where they do not
 */
export function leakByGain(
  state: LeakByGain,
  now: RunAndRest,
  known: SlowReturn | null,
  most_m3: number,
): SlowReturn | null {
  const { rest } = state;
  state.rest = null;
  const sd_m3s = Math.hypot(Math.sqrt(state.variance), leastScatter * state.rate_m3s, now.uRate_m3s);
  const gain_m3s = now.rate_m3s - state.rate_m3s;
  // What was told has since shown by itself, or is over.
  if (known === null && state.gaining?.told === true) state.gaining = null;
  if (known !== null && state.gaining !== null) {
    takeGain(state.gaining, now, gain_m3s + meanRate_m3s(known, now.rest_s), sd_m3s, memoryOfGain);
    takeBend(state, now, rest, memory);
    const isLeft = meanGain_m3s(state.gaining) > hardlyAny * leastGain * state.rate_m3s;
    return isLeft ? leakOf(state, state.gaining, most_m3) : null;
  }
  state.latest.push(now);
  if (state.latest.length > 2 * beside) state.latest.shift();
  watch(state, state.runs < fewestBefore ? 0 : gain_m3s / sd_m3s);
  const { gaining } = state;
  if (gaining === null) {
    noteUsual(state, now, rest);
    return null;
  }
  takeGain(gaining, now, gain_m3s, sd_m3s, 1);
  takeBend(state, now, rest, 1);
  gaining.stepped ||= stepTogether(state.latest);
  if (!isClear(state, gaining)) return null;
  const leak = leakOf(state, gaining, most_m3);
  if (!(leak.volume_m3 > closing_m3)) return null;
  Object.assign(gaining, { told: true, last: null });
  state.latest.length = 0;
  return leak;
}

/** Whether the pump seems to gain. */
function watch(state: LeakByGain, z: number): void {
  const { gaining } = state;
  const cusum = Math.max(0, (gaining?.cusum ?? 0) + Math.min(mostOfRun, z) - allowance);
  const lasts = gaining !== null && gaining.runs > mostRuns;
  // What it moves now is known by those runs: a leak that begins meanwhile is held against that.
  if (lasts) state.rate_m3s += meanGain_m3s(gaining);
  state.gaining = cusum === 0 || lasts ? null : { ...(gaining ?? noneYet), cusum };
}

const noneYet: Gaining = {
  cusum: 0,
  runs: 0,
  gain_m3s: 0,
  variance: 0,
  duration_s: 0,
  rests: 0,
  bend_m3s2: 0,
  bendSquare: 0,
  precision: 0,
  growth_m3s2: 0,
  last: null,
  stepped: false,
  told: false,
};

function takeGain(gaining: Gaining, { rest_s }: RunAndRest, gain_m3s: number, sd_m3s: number, keep: number): void {
  gaining.runs = keep * gaining.runs + 1;
  gaining.gain_m3s = keep * gaining.gain_m3s + gain_m3s;
  gaining.variance = keep ** 2 * gaining.variance + sd_m3s ** 2;
  gaining.duration_s = keep * gaining.duration_s + rest_s;
}

function takeBend(state: LeakByGain, now: RunAndRest, rest: LeakByGain["rest"], keep: number): void {
  const gaining = state.gaining as Gaining;
  const { inflow_m3s, stoppedAt_s } = now;
  const { last } = gaining;
  gaining.last = { inflow_m3s, stoppedAt_s };
  if (rest === null) return;
  const growth_m3s2 = last === null ? 0 : (inflow_m3s - last.inflow_m3s) / (stoppedAt_s - last.stoppedAt_s);
  const excess_m3s2 = rest.bend_m3s2 - usualBend_m3s2(state, inflow_m3s);
  gaining.rests = keep * gaining.rests + 1;
  gaining.bend_m3s2 = keep * gaining.bend_m3s2 + excess_m3s2;
  gaining.bendSquare = keep * gaining.bendSquare + excess_m3s2 ** 2;
  gaining.precision = keep * gaining.precision + rest.precision;
  gaining.growth_m3s2 = keep * gaining.growth_m3s2 + growth_m3s2;
}

function noteUsual(state: LeakByGain, { rate_m3s, inflow_m3s }: RunAndRest, rest: LeakByGain["rest"]): void {
  state.runs = memory * state.runs + 1;
  const off_m3s = rate_m3s - state.rate_m3s;
  const share = 1 / state.runs;
  state.rate_m3s += share * off_m3s;
  state.variance = state.runs === 1 ? 0 : (1 - share) * (state.variance + share * off_m3s ** 2);
  if (rest === null) return;
  state.inflowSquare = memory * state.inflowSquare + rest.precision * inflow_m3s ** 2;
  state.inflowBend = memory * state.inflowBend + rest.precision * inflow_m3s * rest.bend_m3s2;
}

/** Ground water that slows as the basin fills bends a rest by as much as there is of it. */
function usualBend_m3s2({ inflowSquare, inflowBend }: LeakByGain, inflow_m3s: number): number {
  return inflowSquare > 0 ? Math.min(0, inflowBend / inflowSquare) * inflow_m3s : 0;
}

/** How much a rest is bent by what slows down in it; a storm that grows bends it the other way, one that falls off this way. */
function slowing_m3s2({ growth_m3s2, bend_m3s2, rests }: Gaining): number {
  return rests > 0 ? (growth_m3s2 / 2 - bend_m3s2) / rests : 0;
}

function meanGain_m3s({ gain_m3s, runs }: Gaining): number {
  return gain_m3s / runs;
}

/** The gain stands out of how runs scatter; and the bend of how rests do, or as much more came in from one stop on. */
function isClear(state: LeakByGain, gaining: Gaining): boolean {
  const { cusum, runs, rests, precision, stepped } = gaining;
  if (!(cusum > decisionInterval) || runs < fewestRuns) return false;
  const uGain_m3s = Math.sqrt(gaining.variance) / runs;
  if (!(meanGain_m3s(gaining) > Math.max(leastGain * state.rate_m3s, clearly * uGain_m3s))) return false;
  if (stepped || rests < fewestBends) return stepped;
  const scatter = (gaining.bendSquare / rests - (gaining.bend_m3s2 / rests) ** 2) / (rests - 1);
  // What ground water bends rests by is known no better than those before have shown.
  const uUsual_m3s2 = state.inflowSquare > 0 ? (gaining.last?.inflow_m3s ?? 0) / Math.sqrt(state.inflowSquare) : 0;
  return slowing_m3s2(gaining) > clearly * Math.hypot(uUsual_m3s2, Math.sqrt(Math.max(scatter, 1 / precision)));
}

/** Cycles on either side of a stop, from which on the valve may have begun to leak. */
const beside = 5;
/** The step of the inflow, in its standard deviations; and it is that of the rate to within a half and so many of theirs. */
const clearStep = 3;
const half = 0.5;

/** Whether what seems to come in stepped up by as much as what the pump seems to move, at the same stop. */
function stepTogether(latest: readonly RunAndRest[]): boolean {
  if (latest.length < 2 * beside) return false;
  const inflow = stepOf(
    latest.map(({ inflow_m3s, uInflow_m3s }) => [inflow_m3s, uInflow_m3s]),
    true,
  );
  const rate = stepOf(
    latest.map(({ rate_m3s, uRate_m3s }) => [rate_m3s, uRate_m3s]),
    false,
  );
  const off_m3s = Math.abs(inflow.step - rate.step);
  const isOne = off_m3s < half * rate.step && off_m3s < clearStep * Math.hypot(inflow.u, rate.u);
  return isOne && inflow.step > clearStep * inflow.u && rate.step > clearStep * rate.u;
}

/** How unsure a step in the middle of ten values is, in standard deviations of one: as differ the means of either five … */
const ofMeans = Math.sqrt(2 / 5);
/** … and where they rise or fall evenly on either side as well, by slopes of which the variance is a tenth of one's. */
const ofLines = Math.sqrt(2 / 5 + 25 / 20);

/** @param slopes whether the values may rise or fall evenly on either side */
function stepOf(values: readonly (readonly [number, number])[], slopes: boolean) {
  const sides = [values.slice(0, beside), values.slice(beside)].map((side) => {
    const mean = side.reduce((sum, [value]) => sum + value, 0) / beside;
    const at = (i: number) => i - (beside - 1) / 2;
    const slope = slopes ? side.reduce((sum, [value], i) => sum + at(i) * value, 0) / 10 : 0;
    const left = side.reduce((sum, [value], i) => sum + (value - mean - slope * at(i)) ** 2, 0);
    return { mean, slope, left, known: side.reduce((sum, [, u]) => sum + u ** 2, 0) };
  });
  const [a, b] = sides as [(typeof sides)[0], (typeof sides)[0]];
  const freedom = 2 * (beside - (slopes ? 2 : 1));
  const sd = Math.sqrt(Math.max((a.left + b.left) / freedom, (a.known + b.known) / (2 * beside)));
  return { step: b.mean - a.mean - (beside * (a.slope + b.slope)) / 2, u: (slopes ? ofLines : ofMeans) * sd };
}

/** Where rests are too short to tell the bend, between a leak that is over within them and one of all that the pipe can hold. */
function leakOf({ variance, runs }: LeakByGain, gaining: Gaining, most_m3: number): SlowReturn {
  const gain_m3s = meanGain_m3s(gaining);
  const rest_s = gaining.duration_s / gaining.runs;
  const slowest_m3s2 = bendOf_m3s2(gain_m3s, rest_s, most_m3);
  const bend_m3s2 = Math.min(gain_m3s / rest_s, Math.max(slowest_m3s2, slowing_m3s2(gaining)));
  const time_s = Math.min(longest_s.draining, gain_m3s / (2 * bend_m3s2) + rest_s / 2);
  const volume_m3 = (gain_m3s * time_s ** 2) / (2 * time_s - rest_s);
  // A slower leak of more water brings as much within such rests: how much that is the gain says, however unsure the bend.
  // It is no better known than what the pump moved before.
  const uGain_m3s = Math.hypot(Math.sqrt(gaining.variance) / gaining.runs, Math.sqrt(variance / runs));
  const uVolume_m3 = (volume_m3 * uGain_m3s) / gain_m3s;
  return { course: "draining", time_s, volume_m3, uVolume_m3, slowing_1s: 0, bend_m3s2: 0 };
}

/** By which a leak of so much bends rests: the smaller root of 4·|b|·V = (G + |b|·T)². */
function bendOf_m3s2(gain_m3s: number, rest_s: number, volume_m3: number): number {
  const middle = 2 * volume_m3 - gain_m3s * rest_s;
  const root = middle ** 2 - (gain_m3s * rest_s) ** 2;
  return middle > 0 && root > 0 ? (middle - Math.sqrt(root)) / rest_s ** 2 : gain_m3s / rest_s;
}

/** What comes back on the average over a rest of such length. */
function meanRate_m3s(leak: SlowReturn, duration_s: number): number {
  return (leak.volume_m3 * (1 - slowlyOut(leak)(duration_s))) / duration_s;
}
