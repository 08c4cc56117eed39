// What each run teaches of what the pump moves: a rate, how flow falls with the level, or, where its own length is not
// known, a share in what many runs lift together.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { type CapabilityState, newCapability, pooledMemory, rememberedRuns } from "./capability-state.ts";
import type { MovesNow } from "./longer-runs.ts";

/** How steep a curve is changes with the pump's wear alone: it is rememberedRuns over some so many runs. */
const slopeMemory = 300;
/** A run whose slope lies so many standard deviations off counts less. */
const oddFrom = 3;
/** More runs left out one after the other are one storm. */
const leftOutAtOnce = 3;

/** @param fall_m of the level in the run, about its mean level */
export function learnRun(state: CapabilityState, rate: FlowEstimate, level_m: number, fall_m = 0): void {
  state.lessons += 1;
  state.rate_m3s.push(rate.flow_m3s);
  state.u_m3s.push(rate.uFlow_m3s);
  state.level_m.push(level_m);
  state.fall_m.push(fall_m);
  if (state.rate_m3s.length <= rememberedRuns) return;
  for (const column of [state.rate_m3s, state.u_m3s, state.level_m, state.fall_m]) column.shift();
}

/** So many of the latest runs had an error in common. */
export function forgetLatest(state: CapabilityState, runs: number): void {
  state.lessons += 1;
  for (const column of [state.rate_m3s, state.u_m3s, state.level_m, state.fall_m])
    column.length = Math.max(0, column.length - runs);
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

/** The pump moves otherwise now: what earlier runs have taught is past, and so many together tell it, by what they lifted. */
export function learnAnew(state: CapabilityState, { now, volume_m3, runs }: MovesNow): void {
  const { lessons, expected, pooledUpTo_s } = state;
  const run_s = volume_m3 / now.flow_m3s;
  Object.assign(state, {
    ...newCapability(),
    lessons: lessons + 1,
    expected,
    pooledUpTo_s,
    pooledVolume_m3: volume_m3,
    pooledRun_s: run_s,
    pooledVariance_s2: ((run_s * now.uFlow_m3s) / now.flow_m3s) ** 2,
    pooled: runs,
  });
}
