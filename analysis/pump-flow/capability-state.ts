// What is remembered of a pump's runs, to tell what it moves.

import type { ExpectedFlows } from "../hydraulics/expected-flow.ts";

/** So many of the latest rates are remembered. */
export const rememberedRuns = 30;
/** Over so many runs what runs of unknown length have lifted together fades. */
export const pooledMemory = 1000;

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
