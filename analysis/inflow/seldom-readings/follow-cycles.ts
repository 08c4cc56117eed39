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
const backwardIn = workplace();
const nextIn = workplace();
const likelyIn = workplace();
const spareIn = workplace();
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
  const grid = cycleGrid(floats.active_m3, pump);
  const { cells, pumps } = grid;
  const phases = readings.map(phasesOf);
  const most = Math.max(...phases.map(({ length }) => length));
  // Of each phase that a reading may be of, one after the other.
  const forward = forwardIn(steps * most * cells);
  const likely = likelyIn(cells);
  const now = backwardIn(most * cells);
  const next = nextIn(most * cells);
  const spare = spareIn(cells);
  const length_s = (readings[steps] as CycleReading).time_s - (readings[0] as CycleReading).time_s;
  const perOdds = (shares - 1) / (highestOdds - lowestOdds);
  let kernel: Float64Array = new Float64Array();
  const spread = (of: Float64Array, count: number) => {
    for (let k = 0; k < count; k += 1) diffuse(of.subarray(k * cells, (k + 1) * cells), spare, kernel, pumps);
  };
  const phasesAt = (i: number) => (phases[i] as readonly boolean[]).length;
  const takenAs = (i: number, phase: number): TakenAs => {
    const { time_s, volume_m3 } = readings[i] as CycleReading;
    return { time_s, volume_m3, on: phases[i]?.[phase] === true };
  };
  /** From reading `i` to the next, or back: what is known at the one, into `next` for the other. */
  const step = (i: number, back: boolean) => {
    const [from, to] = [phasesAt(i), phasesAt(i + 1)];
    next.fill(0, 0, (back ? from : to) * cells);
    for (let a = 0; a < from; a += 1) {
      for (let b = 0; b < to; b += 1) {
        likelihood(likely, grid, floats, takenAs(i, a), takenAs(i + 1, b));
        const [source, target] = back ? [b * cells, a * cells] : [a * cells, b * cells];
        for (let c = 0; c < cells; c += 1)
          next[target + c] = (next[target + c] as number) + (now[source + c] as number) * (likely[c] as number);
      }
    }
  };
  /** How well all follows, with so much change in a minute; null where nothing does. */
  const there = (change: number) => {
    kernel = kernelOf(Math.max(leastChange, ((change * length_s) / steps / 60) * perOdds));
    fillFirst(now, grid, before_m3s, phasesAt(0));
    let fits = 0;
    for (let i = 0; i < steps; i += 1) {
      step(i, false);
      const count = phasesAt(i + 1);
      let sum = 0;
      for (let c = 0; c < count * cells; c += 1) sum += next[c] as number;
      if (!(sum > 0)) return null;
      fits += Math.log(sum);
      for (let c = 0; c < count * cells; c += 1) now[c] = (next[c] as number) / sum;
      forward.set(now.subarray(0, count * cells), i * most * cells);
      spread(now, count);
    }
    return fits;
  };
  const found = changes.map(there);
  const fits = found.reduce<number | null>((most, one) => (most === null || (one ?? most) > most ? one : most), null);
  if (fits === null) return null;
  const best = found.indexOf(fits);
  if (best < found.length - 1) there(changes[best] as number);
  now.fill(1, 0, most * cells);
  const seen = noMoments(steps, pumps);
  for (let i = steps - 1; i >= 0; i -= 1) {
    const known = forward.subarray(i * most * cells, i * most * cells + phasesAt(i + 1) * cells);
    noteMoments(seen, grid, known, now, i, i >= asked);
    if (i === 0) break;
    step(i, true);
    const count = phasesAt(i);
    let highest = 0;
    for (let c = 0; c < count * cells; c += 1) highest = Math.max(highest, next[c] as number);
    for (let c = 0; c < count * cells; c += 1) now[c] = (next[c] as number) / highest;
    spread(now, count);
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

function average(values: readonly number[]): number {
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
    for (let k = 0; k < shares; k += 1) {
      let value = 0;
      for (let m = -half; m <= half; m += 1) {
        // What would leave the grid stays at its end.
        const at = Math.min(shares - 1, Math.max(0, k + m));
        value += (kernel[m + half] as number) * (now[from + at] as number);
      }
      spare[from + k] = leapsFrom * (leapt[k] as number) + (1 - leap) * value;
    }
  }
  now.set(spare.subarray(0, pumps * shares));
}
