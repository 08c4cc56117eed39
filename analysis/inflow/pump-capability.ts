// What the pump has been moving lately, as a line against the water level: more level, less lift, more flow.

import type { FlowEstimate } from "../cycles/cycle.ts";

export interface CapabilityState {
  /** Latest rates and the mean level at which each was measured, newest last. */
  rate_m3s: number[];
  u_m3s: number[];
  level_m: number[];
  /** Sums for the slope of flow against level within runs: Σ Δh·Δq and Σ Δh². */
  sumLevelFlow: number;
  sumLevelSquares: number;
  runs: number;
}

export function newCapability(): CapabilityState {
  return { rate_m3s: [], u_m3s: [], level_m: [], sumLevelFlow: 0, sumLevelSquares: 0, runs: 0 };
}

const remembered = 20;
const runsForSlope = 20;

export function learnRun(state: CapabilityState, rate: FlowEstimate, level_m: number): void {
  state.rate_m3s.push(rate.flow_m3s);
  state.u_m3s.push(rate.uFlow_m3s);
  state.level_m.push(level_m);
  state.runs += 1;
  if (state.rate_m3s.length > remembered) {
    state.rate_m3s.shift();
    state.u_m3s.shift();
    state.level_m.shift();
  }
}

/** One run's change of flow between its earlier, higher half and its later, lower half. */
export function learnSlope(state: CapabilityState, levelDrop_m: number, flowDrop_m3s: number): void {
  state.sumLevelFlow += levelDrop_m * flowDrop_m3s;
  state.sumLevelSquares += levelDrop_m ** 2;
}

/** What the pump moves with the water at `level_m`; null before the third measured run. */
export function capabilityAt(state: CapabilityState, level_m: number | null): FlowEstimate | null {
  const n = state.rate_m3s.length;
  if (n < 3) return null;
  const rates = [...state.rate_m3s].sort((a, b) => a - b);
  const median = middle(rates);
  const spread = middle(rates.map((rate) => Math.abs(rate - median)).sort((a, b) => a - b)) * 1.4826;
  const typicalU = middle([...state.u_m3s].sort((a, b) => a - b));
  const meanLevel_m = state.level_m.reduce((sum, level) => sum + level, 0) / n;
  const known = level_m !== null && Number.isFinite(meanLevel_m);
  const lift = known ? capabilitySlope_m2s(state) * (level_m - meanLevel_m) : 0;
  return {
    flow_m3s: median + lift,
    uFlow_m3s: (1.2533 * Math.max(spread, typicalU)) / Math.sqrt(n),
    degreesOfFreedom: n - 1,
  };
}

/** How much more flow a metre more of water level gives, m²/s; 0 before enough runs have shown it. */
export function capabilitySlope_m2s(state: CapabilityState): number {
  if (state.runs < runsForSlope || !(state.sumLevelSquares > 0)) return 0;
  return Math.max(0, state.sumLevelFlow / state.sumLevelSquares);
}

function middle(sorted: readonly number[]): number {
  const i = sorted.length >> 1;
  const upper = sorted[i] ?? Number.NaN;
  return sorted.length % 2 === 1 ? upper : (upper + (sorted[i - 1] ?? Number.NaN)) / 2;
}
