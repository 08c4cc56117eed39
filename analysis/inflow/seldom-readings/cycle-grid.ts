// The courses that are tried where cycles are followed: what the pump moves, and the share of it that comes in; and how well
// one reading follows from the one before by each of them.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { lostInSpinUp_s } from "../../pump-flow/fit-run.ts";
import type { RestMemory } from "../rest/rest-memory.ts";

export interface CycleReading {
  readonly time_s: number;
  readonly volume_m3: number;
  /** Whether the pump runs; null where nothing tells. */
  readonly on: boolean | null;
}

/** Where the pump's float stops it and starts it, as stored volumes, and how well a level tells where between them it lies. */
export interface BetweenFloats {
  readonly stop_m3: number;
  /** So much more than `stop_m3` where it starts. */
  readonly active_m3: number;
  /** Standard deviation of a level, as a share of `active_m3`, by the sensor's noise; absent: as it usually is. */
  readonly uReading?: number;
  /** By so much, as a share of what it moves midway, the pump moves more at the start and less at the stop; absent: alike. */
  readonly tilt?: number;
}

/** What a reading may be of: a rest, a run, or either where nothing tells. */
export function phasesOf({ on }: CycleReading): readonly boolean[] {
  return on === null ? [false, true] : [on];
}

/** Shares of the pump's flow that are tried: evenly over their log odds. */
export const shares = 200;
export const lowestOdds = -7;
export const highestOdds = 5;
/** Pumps that are tried: so far about what is known, so close together. */
const reach = 2.5;
export const spacing = 0.02;
const mostPumps = 51;
/**
 * Standard deviation of where in its cycle a reading lies: by its level, where its noise is not known, and by floats that
 * scatter, for each cycle passed.
 */
export const uPlace = 0.013;
export const uCycle = 0.015;
/** By its level it is known no better, and no worse, whatever the noise: ripples, a sensor that lags. */
const bestKnown = 0.004;
const leastKnown = 0.03;
/** A level may be wrong altogether. */
const wrong = 0.03;
/** (1 − wrong) / √(2π); and squares over variance beyond which nothing is left of it. */
const density = (1 - wrong) / Math.sqrt(2 * Math.PI);
const farOff = 30;
/** Where it says of neither rest nor run: so far beyond the floats, of what lies between them. */
const beyond = 0.2;

/** Nearly all that the pump moves comes in: what is left of it, as a share, is taken for no less. */
const leastLeft = 0.005;
const before = new Float64Array(shares);
const after = new Float64Array(shares);

/** Per pump and, but for the first two, per cell: pump by pump, share by share. */
export interface CycleGrid {
  readonly cells: number;
  readonly pumps: number;
  readonly pump_m3s: Float64Array;
  readonly prior: Float64Array;
  readonly inflow_m3s: Float64Array;
  readonly rest_s: Float64Array;
  /** From the start on: while the pump comes up to speed and takes back what came in meanwhile, and then falling to the stop. */
  readonly spinUp_s: Float64Array;
  readonly fall_s: Float64Array;
  /** By so much, as a share of what it moves at the middle, the pump moves more at the start and less at the stop. */
  readonly tilt: number;
}

/** Comes back through a check valve as it closes, of what lies between the floats no more than a share; judgement, no source. */
export const usuallyReturned_m3 = 0.3e-3;
const mostReturned = 0.02;

function returnedOf_m3(active_m3: number): number {
  return Math.min(usuallyReturned_m3, mostReturned * active_m3);
}

export function cycleGrid(active_m3: number, { flow_m3s, uFlow_m3s }: FlowEstimate, tilt = 0): CycleGrid {
  const relative = Math.max(0.005, uFlow_m3s / flow_m3s);
  const half = Math.min((mostPumps - 1) / 2, Math.max(2, Math.ceil((reach * relative) / spacing)));
  const pumps = 2 * half + 1;
  const cells = pumps * shares;
  const pump_m3s = new Float64Array(pumps);
  const prior = new Float64Array(pumps);
  const [inflow_m3s, rest_s] = [new Float64Array(cells), new Float64Array(cells)];
  const [spinUp_s, fall_s] = [new Float64Array(cells), new Float64Array(cells)];
  const fills_m3 = active_m3 - returnedOf_m3(active_m3);
  for (let j = 0; j < pumps; j += 1) {
    const z = (reach * (j - half)) / half;
    const moves_m3s = flow_m3s * Math.exp(z * relative);
    pump_m3s[j] = moves_m3s;
    prior[j] = Math.exp((-z * z) / 2) / cells;
    for (let k = 0; k < shares; k += 1) {
      const share = shareOf(k);
      const c = j * shares + k;
      inflow_m3s[c] = share * moves_m3s;
      rest_s[c] = fills_m3 / (share * moves_m3s);
      // What came in meanwhile is lifted at the start, where the pump moves most.
      spinUp_s[c] = (lostInSpinUp_s * (1 + tilt)) / (1 - share + tilt);
      fall_s[c] = (active_m3 / moves_m3s) * fallen(share, 0, tilt);
    }
  }
  return { cells, pumps, pump_m3s, prior, inflow_m3s, rest_s, spinUp_s, fall_s, tilt };
}

function shareOf(k: number): number {
  return 1 / (1 + Math.exp(-lowestOdds - ((highestOdds - lowestOdds) * k) / (shares - 1)));
}

/**
 * How long the water takes from the start down to where the basin is still so full, in times that the pump would need with
 * nothing coming in: ∫ df / (1 − share + tilt (2 f − 1)) from `full` to 1.
 */
function fallen(share: number, full: number, tilt: number): number {
  if (!(tilt > 0)) return (1 - full) / (1 - share);
  const left = (at: number) => Math.max(leastLeft, 1 - share + tilt * (2 * at - 1));
  return Math.log(left(1) / left(full)) / (2 * tilt);
}

/** A reading, taken as one of a rest or of a run. */
export interface TakenAs extends Pick<CycleReading, "time_s" | "volume_m3"> {
  readonly on: boolean;
}

/**
 * Per cell: density of the second reading's level, as a share of what lies between the floats, and of whether the pump runs
 * there, given where in its cycle the first lies.
 */
export function likelihood(
  into: Float64Array,
  { cells, rest_s, spinUp_s, fall_s, tilt }: CycleGrid,
  { stop_m3, active_m3, uReading = uPlace }: BetweenFloats,
  from: TakenAs,
  to: TakenAs,
): void {
  const [fromOn, toOn] = [from.on, to.on];
  const [fullBefore, fullAfter] = [(from.volume_m3 - stop_m3) / active_m3, (to.volume_m3 - stop_m3) / active_m3];
  if (isOutside(fullBefore) || isOutside(fullAfter)) {
    into.fill(1 / 2, 0, cells);
    return;
  }
  const length_s = to.time_s - from.time_s;
  const returned = returnedOf_m3(active_m3) / active_m3;
  goneIn(before, fromOn, fullBefore, returned, tilt);
  goneIn(after, toOn, fullAfter, returned, tilt);
  for (let c = 0, k = 0; c < cells; c += 1, k = k + 1 === shares ? 0 : k + 1) {
    const [a, b] = [before[k] as number, after[k] as number];
    const rest = rest_s[c] as number;
    const fall = fall_s[c] as number;
    const runsFrom_s = rest + (spinUp_s[c] as number);
    const perSecond = 1 / (runsFrom_s + fall);
    const there_s = (fromOn ? runsFrom_s + fall * a : rest * a) + length_s;
    const apart = ((toOn ? runsFrom_s + fall * b : rest * b) - there_s) * perSecond;
    const off = apart - Math.round(apart);
    const variance = uReading * uReading + uCycle * uCycle * length_s * perSecond;
    const squares = (off * off) / variance;
    const near = squares > farOff ? 0 : (density * Math.exp(-squares / 2)) / Math.sqrt(variance);
    into[c] = wrong / 2 + near * (toOn ? fall : rest) * perSecond;
  }
}

/** Of two levels that are compared, by the noise of both; `noise_m3` 0 where it is not known. */
export function uReadingOf(noise_m3: number, active_m3: number): number {
  if (!(noise_m3 > 0)) return uPlace;
  return Math.min(leastKnown, Math.max(bestKnown, (Math.SQRT2 * noise_m3) / active_m3));
}

/**
 * Standard deviation of a reading, 0 where it is not known: rests of many have shown it, and rests of a few a sensor that is
 * rougher than is taken for granted. How fine one is they do not show: their curve takes in part of what turns from reading
 * to reading.
 */
export function noiseReadSeldom(
  { sampleSd_m3, fewSd_m3 = 0 }: Pick<RestMemory, "sampleSd_m3" | "fewSd_m3">,
  active_m3: number | null,
): number {
  if (sampleSd_m3 > 0 || active_m3 === null) return sampleSd_m3;
  return Math.SQRT2 * fewSd_m3 > uPlace * active_m3 ? fewSd_m3 : 0;
}

function isOutside(full: number): boolean {
  return full < -beyond || full > 1 + beyond;
}

/** Per share of the pump's flow that comes in: that of the rest, or of the fall, that has gone by with the basin so full. */
function goneIn(into: Float64Array, on: boolean, full: number, returned: number, tilt: number): void {
  if (!on) {
    into.fill(Math.min(1, Math.max(0, (full - returned) / (1 - returned))));
    return;
  }
  const at = Math.min(1, Math.max(0, full));
  for (let k = 0; k < shares; k += 1) into[k] = fallen(shareOf(k), at, tilt) / fallen(shareOf(k), 0, tilt);
}
