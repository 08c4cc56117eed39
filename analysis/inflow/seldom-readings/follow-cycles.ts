// Inflow from one reading to the next where whole runs fall between them: the level and, if that is told, whether the pump
// runs say how far each reading lies in its cycle, and only one course of the inflow, for a pump that is about known, takes
// it from each to the next. Bayes' rule on a grid of inflow and pump, there and back (forward-backward).

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { workplace } from "../../statistics/workplace.ts";
import {
  type BetweenFloats,
  type CycleGrid,
  type CycleReading,
  cycleGrid,
  highestOdds,
  likelihood,
  lowestOdds,
  phasesOf,
  shares,
  spacing,
  type TakenAs,
  uCycle,
  uPlace,
} from "./cycle-grid.ts";

export interface Followed {
  /** Between each reading and the next, and the standard deviation of each by itself. */
  readonly flow_m3s: readonly number[];
  readonly u_m3s: readonly number[];
  /** Standard uncertainty of the mean of those from the first that was asked for on: much of theirs is made good by the next. */
  readonly uMean_m3s: number;
  /** What the pump moves, by what was known of it and by these readings. */
  readonly pump: FlowEstimate;
  /** How much better than chance the readings follow from one another: mean logarithm of their probability density. */
  readonly fits: number;
}

/**
 * By how much log odds change in a minute: what follows best of these is taken. Inflow goes its way steadily: in half of the
 * time it changes by half, not by as much as what wanders to and fro. Judgement, no source, as all that follows.
 */
const changes = [0.1, 0.03] as const;
/** Of a narrower change than this share of its spacing the grid shows nothing. */
const leastChange = 0.3;
/** So often from one reading to the next it leaps, by so many log odds in the mean: the farther, the less often. */
const leap = 1e-4;
const leapsBy = 0.5;
/** Inflow known before is about that still (standard deviation of its logarithm), but for one time in so many. */
const uBefore = 0.3;
const anew = 1e-3;
/** A grid shows no narrower a spread than this share of its spacing. */
const finest = 0.3;
/** Of the uncertainty of each by itself so much is left in the mean of many: which of two courses it was may stay open. */
const notMadeGood = 0.3;

const forwardIn = workplace();
const likelyIn = workplace();
const spareIn = workplace();
const widenedIn = workplace();
const leapt = new Float64Array(shares);

/**
 * @param readings   three or more, in order of time
 * @param floats     between which levels the pump goes on and off
 * @param pump       what it moves, as far as is known
 * @param before_m3s about what came in at the beginning; null where that is not known
 * @param asked      the first reading of those over which the mean is asked for; those before only help
 * @returns null where nothing follows
 */
export function followCycles(
  readings: readonly CycleReading[],
  floats: BetweenFloats,
  pump: FlowEstimate,
  before_m3s: number | null = null,
  asked = 0,
): Followed | null {
  const steps = readings.length - 1;
  if (steps < 2) return null;
  const grid = cycleGrid(floats.active_m3, pump, floats.tilt);
  const { cells, pumps } = grid;
  const phases = readings.map(phasesOf);
  const most = Math.max(...phases.map(({ length }) => length));
  const room = most * cells;
  const likely = likelyIn(cells);
  const spare = spareIn(cells);
  const length_s = (readings[steps] as CycleReading).time_s - (readings[0] as CycleReading).time_s;
  const perOdds = (shares - 1) / (highestOdds - lowestOdds);
  const memory = forwardIn(changes.length * (steps + 2) * room);
  const paces = changes.map((change, k): Pace => {
    const from = k * (steps + 2) * room;
    return {
      kernel: kernelOf(Math.max(leastChange, ((change * length_s) / steps / 60) * perOdds)),
      now: memory.subarray(from, from + room),
      next: memory.subarray(from + room, from + 2 * room),
      forward: memory.subarray(from + 2 * room, from + (steps + 2) * room),
      fits: 0,
    };
  });
  const spread = ({ now, kernel }: Pace, count: number) => {
    for (let k = 0; k < count; k += 1) diffuse(now.subarray(k * cells, (k + 1) * cells), spare, kernel, pumps);
  };
  const phasesAt = (i: number) => (phases[i] as readonly boolean[]).length;
  const takenAs = (i: number, phase: number): TakenAs => {
    const { time_s, volume_m3 } = readings[i] as CycleReading;
    return { time_s, volume_m3, on: phases[i]?.[phase] === true };
  };
  /** From reading `i` to the next, or back: what is known at the one, into `next` for the other. How many phases that has. */
  const step = (i: number, back: boolean, of: readonly Pace[]) => {
    const [from, to] = [phasesAt(i), phasesAt(i + 1)];
    const count = back ? from : to;
    for (const { next } of of) next.fill(0, 0, count * cells);
    for (let a = 0; a < from; a += 1) {
      for (let b = 0; b < to; b += 1) {
        likelihood(likely, grid, floats, takenAs(i, a), takenAs(i + 1, b));
        const [source, target] = back ? [b * cells, a * cells] : [a * cells, b * cells];
        for (const { now, next } of of) addProduct(next, target, now, source, likely, cells);
      }
    }
    return count;
  };
  for (const { now } of paces) fillFirst(now, grid, before_m3s, phasesAt(0));
  for (let i = 0; i < steps; i += 1) {
    const following = paces.filter(({ fits }) => fits !== null);
    const count = step(i, false, following);
    for (const pace of following) {
      if (!goesOn(pace, count * cells)) continue;
      pace.forward.set(pace.now.subarray(0, count * cells), i * room);
      spread(pace, count);
    }
  }
  const best = bestOf(paces);
  if (best === null) return null;
  const { now, next, forward, fits } = best;
  now.fill(1, 0, room);
  const seen = noMoments(steps, pumps);
  for (let i = steps - 1; i >= 0; i -= 1) {
    const known = forward.subarray(i * room, i * room + phasesAt(i + 1) * cells);
    noteMoments(seen, grid, known, now, i, i >= asked);
    if (i === 0) break;
    const count = step(i, true, [best]);
    let highest = 0;
    for (let c = 0; c < count * cells; c += 1) highest = Math.max(highest, next[c] as number);
    for (let c = 0; c < count * cells; c += 1) now[c] = (next[c] as number) / highest;
    spread(best, count);
  }
  const { flow_m3s, u_m3s } = seen;
  const asked_s = (readings[steps] as CycleReading).time_s - (readings[asked] as CycleReading).time_s;
  const weights = seen.weight.map((weight) => weight / (steps - asked));
  const byPump_m3s = seen.first.map((first, j) => first / Math.max(1e-300, seen.weight[j] as number));
  const mean = momentsOf(byPump_m3s, weights);
  const moves = momentsOf(grid.pump_m3s, weights);
  const uPump_m3s = Math.max(moves.sd, finest * spacing * moves.mean);
  const uOne_m3s = average(u_m3s.slice(asked));
  return {
    flow_m3s,
    u_m3s,
    uMean_m3s: Math.hypot(
      mean.sd,
      uByPlaces_m3s(mean.mean, moves.mean, floats.active_m3, asked_s),
      notMadeGood * uOne_m3s,
    ),
    pump: { flow_m3s: moves.mean, uFlow_m3s: uPump_m3s, degreesOfFreedom: pump.degreesOfFreedom },
    fits: fits / steps,
  };
}

/** How fast the inflow may change, and what follows: what is known at a reading, of each phase that it may be of, and so on. */
interface Pace {
  readonly kernel: Float64Array;
  readonly now: Float64Array;
  readonly next: Float64Array;
  /** … at each of the readings after the first, by those up to there. */
  readonly forward: Float64Array;
  /** Sum of the logarithms of how well each reading follows; null once one does not. */
  fits: number | null;
}

interface Following extends Pace {
  readonly fits: number;
}

/** What is known at the next reading is what is known now; whether anything is. */
function goesOn(pace: Pace, size: number): boolean {
  const { now, next } = pace;
  let sum = 0;
  for (let at = 0; at < size; at += 1) sum += next[at] as number;
  if (!(sum > 0) || pace.fits === null) {
    pace.fits = null;
    return false;
  }
  pace.fits += Math.log(sum);
  for (let at = 0; at < size; at += 1) now[at] = (next[at] as number) / sum;
  return true;
}

/** The first of those by which all follows best; null where nothing does. */
function bestOf(paces: readonly Pace[]): Following | null {
  let best: Following | null = null;
  for (const pace of paces) if (follows(pace) && !(best !== null && pace.fits <= best.fits)) best = pace;
  return best;
}

function follows(pace: Pace): pace is Following {
  return pace.fits !== null;
}

function addProduct(
  into: Float64Array,
  at: number,
  of: Float64Array,
  from: number,
  factor: Float64Array,
  count: number,
): void {
  for (let c = 0; c < count; c += 1)
    into[at + c] = (into[at + c] as number) + (of[from + c] as number) * (factor[c] as number);
}

/** What is known before the first reading, of each phase that it may be of. */
function fillFirst(now: Float64Array, grid: CycleGrid, before_m3s: number | null, phases: number): void {
  const { cells, inflow_m3s, prior } = grid;
  for (let c = 0; c < cells; c += 1) {
    const off = before_m3s === null ? 0 : Math.log((inflow_m3s[c] as number) / before_m3s);
    const about = Math.exp(-((off / uBefore) ** 2) / 2) + anew * Math.exp(-Math.abs(off) / leapsBy);
    for (let k = 0; k < phases; k += 1)
      now[k * cells + c] = ((prior[Math.floor(c / shares)] as number) * about) / phases;
  }
}

/** Where in their cycles the first and the last reading lie is known to so much, and each cycle between is about as long. */
function uByPlaces_m3s(flow_m3s: number, pump_m3s: number, active_m3: number, length_s: number): number {
  const rest = Math.max(0.05, 1 - flow_m3s / pump_m3s);
  const perCycle_m3 = active_m3 / rest;
  const cycles = (flow_m3s * length_s) / perCycle_m3;
  return (perCycle_m3 * Math.sqrt(2 * uPlace ** 2 + uCycle ** 2 * cycles)) / length_s;
}

interface Moments {
  readonly flow_m3s: number[];
  readonly u_m3s: number[];
  /** Per pump, over what was asked for: sum of probabilities, and of probabilities times inflow. */
  readonly weight: Float64Array;
  readonly first: Float64Array;
}

function noMoments(steps: number, pumps: number): Moments {
  return {
    flow_m3s: new Array(steps),
    u_m3s: new Array(steps),
    weight: new Float64Array(pumps),
    first: new Float64Array(pumps),
  };
}

function noteMoments(
  seen: Moments,
  { cells, inflow_m3s }: CycleGrid,
  forward: Float64Array,
  backward: Float64Array,
  i: number,
  asked: boolean,
): void {
  let sum = 0;
  for (let at = 0; at < forward.length; at += 1) sum += (forward[at] as number) * (backward[at] as number);
  let [mean, square] = [0, 0];
  for (let at = 0; at < forward.length; at += 1) {
    const p = ((forward[at] as number) * (backward[at] as number)) / sum;
    const c = at % cells;
    const q = inflow_m3s[c] as number;
    mean += p * q;
    square += p * q * q;
    if (!asked) continue;
    const j = Math.floor(c / shares);
    seen.weight[j] = (seen.weight[j] as number) + p;
    seen.first[j] = (seen.first[j] as number) + p * q;
  }
  seen.flow_m3s[i] = mean;
  seen.u_m3s[i] = Math.sqrt(Math.max(0, square - mean * mean));
}

function momentsOf(values: Float64Array, weights: Float64Array): { readonly mean: number; readonly sd: number } {
  let [sum, mean, square] = [0, 0, 0];
  for (let j = 0; j < values.length; j += 1) {
    const w = weights[j] as number;
    sum += w;
    mean += w * (values[j] as number);
    square += w * (values[j] as number) ** 2;
  }
  mean /= sum;
  return { mean, sd: Math.sqrt(Math.max(0, square / sum - mean * mean)) };
}

export function average(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

function kernelOf(sd: number): Float64Array {
  const half = Math.max(1, Math.ceil(3 * sd));
  const kernel = Float64Array.from({ length: 2 * half + 1 }, (_, i) => Math.exp(-((i - half) ** 2) / (2 * sd * sd)));
  const sum = kernel.reduce((a, b) => a + b, 0);
  return kernel.map((value) => value / sum);
}

function diffuse(now: Float64Array, spare: Float64Array, kernel: Float64Array, pumps: number): void {
  const half = (kernel.length - 1) / 2;
  const widened = widenedIn(shares + 2 * half);
  const fades = Math.exp((lowestOdds - highestOdds) / (shares - 1) / leapsBy);
  const leapsFrom = (leap * (1 - fades)) / (1 + fades);
  for (let j = 0; j < pumps; j += 1) {
    const from = j * shares;
    // What leaps, two-sided exponential, by a pass from either end.
    let carried = 0;
    for (let k = 0; k < shares; k += 1) {
      carried = fades * carried + (now[from + k] as number);
      leapt[k] = carried;
    }
    carried = 0;
    for (let k = shares - 1; k >= 0; k -= 1) {
      leapt[k] = (leapt[k] as number) + fades * carried;
      carried = fades * carried + (now[from + k] as number);
    }
    // What would leave the grid stays at its end.
    widened.fill(now[from] as number, 0, half);
    widened.set(now.subarray(from, from + shares), half);
    widened.fill(now[from + shares - 1] as number, half + shares, shares + 2 * half);
    // Two sums side by side, for neither waits for the other; their number is even.
    for (let k = 0; k < shares; k += 2) {
      let even = 0;
      let odd = 0;
      for (let m = 0; m < kernel.length; m += 1) {
        const w = kernel[m] as number;
        even += w * (widened[k + m] as number);
        odd += w * (widened[k + m + 1] as number);
      }
      spare[from + k] = leapsFrom * (leapt[k] as number) + (1 - leap) * even;
      spare[from + k + 1] = leapsFrom * (leapt[k + 1] as number) + (1 - leap) * odd;
    }
  }
  now.set(spare.subarray(0, pumps * shares));
}
