// The line of flow against water level through a pump's latest runs: odd ones count less, its slope is learned within runs.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { type ExpectedFlows, expectedAt } from "../hydraulics/expected-flow.ts";
import { medianInPlace } from "../statistics/median.ts";
import type { CapabilityState } from "./capability-state.ts";
import { meanByTime, meanOfRuns } from "./runs-together.ts";

const fewestRuns = 3;
/**
 * What a metre less of lift adds to the flow, as a share of it, before the runs have shown it: the duty point of pumps
 * with one and a half to four times the head that is asked of them; common practice, no source.
 */
const usualSteepness_1m = 0.15;
const uUsualSteepness_1m = 0.12;
/** With the published curve at hand its own steepness is the first guess, known to this share; common practice, no source. */
const uPublished = 0.3;

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

interface Slope {
  readonly slope_m2s: number;
  readonly uSlope_m2s: number;
}

interface Drawn {
  readonly lessons: number;
  readonly expected: ExpectedFlows | null;
  readonly line: CapabilityLine;
}

/** The line last drawn of each pump: it is asked for several times between one run and the next. */
const drawn = new WeakMap<CapabilityState, Drawn>();

/** Null before the third measured run. */
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

/** How much more flow a metre more of water level gives, m²/s; 0 before the third measured run. */
export function capabilitySlope_m2s(state: CapabilityState): number {
  return capabilityLine(state)?.slope.slope_m2s ?? 0;
}

/** What a metre more of water level adds to the flow, as a share of it. */
export function steepnessAt_1m(state: CapabilityState, level_m: number): number {
  const line = capabilityLine(state);
  if (line !== null) return line.slope.slope_m2s / line.middle.flow_m3s;
  return firstGuess(1, level_m, state.expected).slope_m2s;
}

function drawLine(state: CapabilityState, n: number): CapabilityLine {
  let levels_m = 0;
  for (let i = 0; i < n; i += 1) levels_m += state.level_m[i] as number;
  const level_m = levels_m / n;
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
    // Without a level it is their time alone that tells.
    middle: known ? meanOfRuns(atMean, state.u_m3s) : meanByTime(state.rate_m3s, state.u_m3s),
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
