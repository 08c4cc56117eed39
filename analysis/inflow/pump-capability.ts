// What the pump moves, learned from its runs: a line of flow against the water level (more level, less lift, more flow),
// and beyond the levels that were seen as the published curve on the given discharge bends it.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { type ExpectedFlows, expectedAt } from "../hydraulics/expected-flow.ts";
import { medianInPlace } from "../statistics/median.ts";

export interface CapabilityState {
  /** Latest rates, the mean level at which each was measured, and the fall of the level meanwhile; newest last. */
  rate_m3s: number[];
  u_m3s: number[];
  level_m: number[];
  fall_m: number[];
  /** Of the slope of flow against level within runs, older ones fading: sum of weights, and of weights times slopes. */
  slopeWeight: number;
  slopeSum: number;
  /** Volume lifted and time run by many runs whose own length is unknown, older ones fading; and how many. */
  pooledVolume_m3: number;
  pooledRun_s: number;
  pooledVariance_s2: number;
  pooled: number;
  /** Runs that were left out there, since what they lifted is not known. */
  notPooled: number;
  /** One after the other, now. */
  leftOut: number;
  /** Time in which a signal said 'runs', up to the newest run; NaN where that run does not join on to the next. */
  pooledUpTo_s: number;
  /** Runs and slopes learned so far: as long as it is the same, so is the line. */
  lessons: number;
  /** What the published curve gives on the given discharge; null where either is not known. */
  expected: ExpectedFlows | null;
}

export function newCapability(): CapabilityState {
  return {
    rate_m3s: [],
    u_m3s: [],
    level_m: [],
    fall_m: [],
    slopeWeight: 0,
    slopeSum: 0,
    pooledVolume_m3: 0,
    pooledRun_s: 0,
    pooledVariance_s2: 0,
    pooled: 0,
    notPooled: 0,
    leftOut: 0,
    pooledUpTo_s: Number.NaN,
    lessons: 0,
    expected: null,
  };
}

const remembered = 30;
const fewestRuns = 3;
/** How steep a curve is changes with the pump's wear alone: it is remembered over some so many runs. */
const slopeMemory = 300;
const pooledMemory = 1000;
/** A run whose slope lies so many standard deviations off counts less. */
const oddFrom = 3;
/**
 * What a metre less of lift adds to the flow, as a share of it, before the runs have shown it: the duty point of pumps
 * with one and a half to four times the head that is asked of them; common practice, no source.
 */
const usualSteepness_1m = 0.15;
const uUsualSteepness_1m = 0.12;
/** With the published curve at hand its own steepness is the first guess, known to this share; common practice, no source. */
const uPublished = 0.3;
/** The learned line is carried on so far beyond the levels seen; farther off the flow is taken as it is there. */
const carriedOn_m = 0.3;
/** So far the published curve bends nothing that the line does not follow. */
const near_m = 0.02;
/** A pump that is installed moves what its published curve says to about this share; judgement, no source. */
const uInstalled = 0.2;
/** A pooled rate is told from so well a known time on. */
const pooledWell = 0.15;
const pooledRoughly = 0.35;
/** More runs left out one after the other are one storm. */
const leftOutAtOnce = 3;
const mostLeftOut = 0.1;

/** @param fall_m of the level in the run, about its mean level */
export function learnRun(state: CapabilityState, rate: FlowEstimate, level_m: number, fall_m = 0): void {
  state.lessons += 1;
  state.rate_m3s.push(rate.flow_m3s);
  state.u_m3s.push(rate.uFlow_m3s);
  state.level_m.push(level_m);
  state.fall_m.push(fall_m);
  if (state.rate_m3s.length <= remembered) return;
  for (const column of [state.rate_m3s, state.u_m3s, state.level_m, state.fall_m]) column.shift();
}

/** One run's change of flow between its earlier, higher part and its later, lower part. */
export function learnSlope(
  state: CapabilityState,
  levelDrop_m: number,
  flowDrop_m3s: number,
  uFlowDrop_m3s: number,
): void {
  if (!(levelDrop_m > 0 && uFlowDrop_m3s > 0)) return;
  state.lessons += 1;
  const slope = flowDrop_m3s / levelDrop_m;
  const u = uFlowDrop_m3s / levelDrop_m;
  const learned = state.slopeWeight > 0 ? state.slopeSum / state.slopeWeight : slope;
  const off = Math.abs(slope - learned) / Math.hypot(u, 1 / Math.sqrt(Math.max(state.slopeWeight, 1e-300)));
  const weight = Math.min(1, oddFrom / off) / u ** 2;
  const keep = 1 - 1 / slopeMemory;
  state.slopeWeight = keep * state.slopeWeight + weight;
  state.slopeSum = keep * state.slopeSum + weight * slope;
}

/**
 * A run of unknown length: what it lifted, and how long the pump was seen to run meanwhile. The errors of the lengths
 * average out over many runs.
 *
 * @param uRun_s of `run_s`
 */
export function learnPooled(state: CapabilityState, volume_m3: number, run_s: number, uRun_s: number): void {
  const keep = 1 - 1 / pooledMemory;
  state.pooledVolume_m3 = keep * state.pooledVolume_m3 + volume_m3;
  state.pooledRun_s = keep * state.pooledRun_s + run_s;
  state.pooledVariance_s2 = keep ** 2 * state.pooledVariance_s2 + uRun_s ** 2;
  state.pooled += 1;
  state.leftOut = 0;
}

/** A run whose lifted volume is not known either: the time that it was seen to run is lost. */
export function leaveOutOfPool(state: CapabilityState): void {
  state.leftOut += 1;
  if (state.leftOut <= leftOutAtOnce) state.notPooled += 1;
}

/**
 * What the pump moves with the water at `level_m`; at null, at the level of its usual runs.
 *
 * Within the levels seen: the line through the latest runs, odd ones counting less, its slope learned within runs.
 * Beyond them: in proportion to what the published curve gives there, or the line a little farther, then level; the
 * uncertainty grows with the distance.
 *
 * @returns null before the third measured run, unless many runs of unknown length tell it together
 */
export function capabilityAt(state: CapabilityState, level_m: number | null): FlowEstimate | null {
  const line = capabilityLine(state);
  if (line === null) return pooledRate(state);
  const { middle, slope } = line;
  if (level_m === null || line.level_m === null) return middle;
  const within_m = Math.min(line.highest_m + carriedOn_m, Math.max(line.lowest_m - carriedOn_m, level_m));
  const away_m = within_m - line.level_m;
  const beyond_m = level_m - within_m;
  const straight_m3s = middle.flow_m3s + slope.slope_m2s * away_m;
  const uSlope_m3s = slope.uSlope_m2s * away_m;
  const bent_m3s = asPublished(line, level_m, state.expected);
  return {
    flow_m3s: Math.max(0, bent_m3s ?? straight_m3s),
    uFlow_m3s: Math.hypot(middle.uFlow_m3s, uSlope_m3s, slope.slope_m2s * beyond_m),
    degreesOfFreedom: middle.degreesOfFreedom,
  };
}

/**
 * What it moves at the level of its usual runs, also where it is told by runs of unknown length and not well yet: together
 * then with what the published curve gives on the given discharge.
 *
 * @param level_m middle of its usual runs; null where that is not known
 */
export function roughly(state: CapabilityState, level_m: number | null): FlowEstimate | null {
  const line = capabilityLine(state);
  if (line !== null) return line.middle;
  const pooled = pooledRate(state, pooledRoughly);
  const published_m3s = state.expected && level_m !== null ? expectedAt(state.expected, level_m) : null;
  if (published_m3s === null || !(published_m3s > 0)) return pooled;
  const uPublished_m3s = uInstalled * published_m3s;
  if (pooled === null)
    return { flow_m3s: published_m3s, uFlow_m3s: uPublished_m3s, degreesOfFreedom: Number.POSITIVE_INFINITY };
  const [a, b] = [1 / uPublished_m3s ** 2, 1 / pooled.uFlow_m3s ** 2];
  return {
    flow_m3s: (a * published_m3s + b * pooled.flow_m3s) / (a + b),
    uFlow_m3s: 1 / Math.sqrt(a + b),
    degreesOfFreedom: pooled.degreesOfFreedom,
  };
}

/** How much more flow a metre more of water level gives, m²/s; 0 before the third measured run. */
export function capabilitySlope_m2s(state: CapabilityState): number {
  return capabilityLine(state)?.slope.slope_m2s ?? 0;
}

interface Slope {
  readonly slope_m2s: number;
  readonly uSlope_m2s: number;
}

export interface CapabilityLine {
  /** At the mean level of the runs. */
  readonly middle: FlowEstimate;
  readonly level_m: number | null;
  /** Between these the water stood while the rates were measured. */
  readonly lowest_m: number;
  readonly highest_m: number;
  readonly slope: Slope;
  /** The slope as the runs alone show it; null before they show any. */
  readonly ownSlope: Slope | null;
}

interface Drawn {
  readonly lessons: number;
  readonly expected: ExpectedFlows | null;
  readonly line: CapabilityLine;
}

/** The line last drawn of each pump: it is asked for several times between one run and the next. */
const drawn = new WeakMap<CapabilityState, Drawn>();

export function capabilityLine(state: CapabilityState): CapabilityLine | null {
  const n = state.rate_m3s.length;
  if (n < fewestRuns) return null;
  const { lessons, expected } = state;
  const before = drawn.get(state);
  if (before !== undefined && before.lessons === lessons && before.expected === expected) return before.line;
  const line = drawLine(state, n);
  drawn.set(state, { lessons, expected, line });
  return line;
}

function drawLine(state: CapabilityState, n: number): CapabilityLine {
  const level_m = state.level_m.reduce((sum, level) => sum + level, 0) / n;
  const known = Number.isFinite(level_m);
  const ownSlope =
    state.slopeWeight > 0
      ? { slope_m2s: state.slopeSum / state.slopeWeight, uSlope_m2s: 1 / Math.sqrt(state.slopeWeight) }
      : null;
  const usual_m3s = medianInPlace(state.rate_m3s);
  const slope = known
    ? together(firstGuess(usual_m3s, level_m, state.expected), ownSlope)
    : { slope_m2s: 0, uSlope_m2s: 0 };
  const atMean = known
    ? state.rate_m3s.map((rate, i) => rate - slope.slope_m2s * ((state.level_m[i] ?? level_m) - level_m))
    : state.rate_m3s;
  let lowest_m = Number.POSITIVE_INFINITY;
  let highest_m = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < n; i += 1) {
    const half_m = (state.fall_m[i] ?? 0) / 2;
    lowest_m = Math.min(lowest_m, (state.level_m[i] ?? level_m) - half_m);
    highest_m = Math.max(highest_m, (state.level_m[i] ?? level_m) + half_m);
  }
  return {
    middle: robustMean(atMean, state.u_m3s),
    level_m: known ? level_m : null,
    lowest_m,
    highest_m,
    slope,
    ownSlope,
  };
}

/** The slope before the runs have shown it. */
function firstGuess(flow_m3s: number, level_m: number, expected: ExpectedFlows | null): Slope {
  const low = expected && expectedAt(expected, level_m - 0.05);
  const high = expected && expectedAt(expected, level_m + 0.05);
  if (low === null || high === null || !(low > 0)) {
    return { slope_m2s: usualSteepness_1m * flow_m3s, uSlope_m2s: uUsualSteepness_1m * flow_m3s };
  }
  const slope_m2s = ((high - low) / 0.1) * (flow_m3s / ((low + high) / 2));
  return { slope_m2s, uSlope_m2s: uPublished * slope_m2s };
}

/** Mean of two independent views by their weights; no pump moves less with less lift. */
function together(guess: Slope, own: Slope | null): Slope {
  if (own === null) return guess;
  const [a, b] = [1 / guess.uSlope_m2s ** 2, 1 / own.uSlope_m2s ** 2];
  return {
    slope_m2s: Math.max(0, (a * guess.slope_m2s + b * own.slope_m2s) / (a + b)),
    uSlope_m2s: 1 / Math.sqrt(a + b),
  };
}

/** Mean by weight, in which a rate far off counts less; its uncertainty from theirs or, if that is more, their scatter. */
function robustMean(rates: readonly number[], us: readonly number[]): FlowEstimate {
  const n = rates.length;
  const least = medianInPlace(us) / 3;
  const u = us.map((own) => Math.sqrt(own * own + least * least));
  const middle = weightedMedian(rates, u);
  const scatter = 1.4826 * medianInPlace(rates.map((rate, i) => Math.abs(rate - middle) / (u[i] ?? 1)));
  const grown = Math.max(1, scatter);
  let weights = 0;
  let sum = 0;
  for (let i = 0; i < n; i += 1) {
    const scale = grown * (u[i] ?? 1);
    const off = (rates[i] ?? middle) - middle;
    const weight = Math.min(1, ((oddFrom * scale) / Math.abs(off)) ** 2) / scale ** 2;
    weights += weight;
    sum += weight * off;
  }
  return { flow_m3s: middle + sum / weights, uFlow_m3s: 1 / Math.sqrt(weights), degreesOfFreedom: n - 1 };
}

/** Half of the weight, 1/u², lies on either side. */
function weightedMedian(values: readonly number[], u: readonly number[]): number {
  const order = orderOf(values);
  let left = 0;
  for (let k = 0; k < values.length; k += 1) left += 1 / (u[order[k] as number] ?? 1) ** 2;
  left /= 2;
  for (let k = 0; k < values.length; k += 1) {
    const i = order[k] as number;
    left -= 1 / (u[i] ?? 1) ** 2;
    if (left <= 0) return values[i] ?? Number.NaN;
  }
  return values[order[values.length - 1] ?? 0] ?? Number.NaN;
}

const places = new Int32Array(2 * remembered);

/** Where the values stand, the lowest first; good until it is asked for again. A few are put in order soonest so. */
function orderOf(values: readonly number[]): Int32Array {
  for (let k = 0; k < values.length; k += 1) {
    let to = k;
    for (; to > 0 && (values[places[to - 1] as number] as number) > (values[k] as number); to -= 1)
      places[to] = places[to - 1] as number;
    places[to] = k;
  }
  return places;
}

/** Beyond the levels seen: from the line's end on, in proportion to the published curve. */
function asPublished(line: CapabilityLine, level_m: number, expected: ExpectedFlows | null): number | null {
  if (expected === null || line.level_m === null) return null;
  const edge_m = Math.min(line.highest_m, Math.max(line.lowest_m, level_m));
  if (Math.abs(level_m - edge_m) <= near_m) return null;
  const there = expectedAt(expected, level_m);
  const atEdge = expectedAt(expected, edge_m);
  if (there === null || atEdge === null || !(atEdge > 0)) return null;
  return ((line.middle.flow_m3s + line.slope.slope_m2s * (edge_m - line.level_m)) * there) / atEdge;
}

function pooledRate(
  { pooledVolume_m3, pooledRun_s, pooledVariance_s2, pooled, notPooled }: CapabilityState,
  enough = pooledWell,
): FlowEstimate | null {
  // Those that are left out are the odd ones: without many of them the others' mean is not that of all.
  if (!(pooledRun_s > 0) || notPooled > mostLeftOut * pooled) return null;
  const relative = Math.sqrt(pooledVariance_s2) / pooledRun_s;
  if (relative > enough) return null;
  const flow_m3s = pooledVolume_m3 / pooledRun_s;
  return {
    flow_m3s,
    uFlow_m3s: relative * flow_m3s,
    degreesOfFreedom: Math.max(1, Math.min(pooled, pooledMemory) - 1),
  };
}
