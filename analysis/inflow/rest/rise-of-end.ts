// How fast the volume rises by the last few samples of a rest alone: a storm that breaks just before the pump starts.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { medianInPlace } from "../../statistics/median.ts";

const lastSamples = 9;

export interface Rise {
  readonly slope: number;
  /** Of a slope through so many samples, at unit standard deviation of a sample. */
  readonly uPerSd: number;
}

/** Median of the slopes between all pairs of the last samples (Theil and Sen), which a spike or two cannot lead astray. */
export function riseOfEnd({ t, y, weight, count }: CurveSamples): Rise | null {
  const from = count - lastSamples;
  if (from < lastSamples || (weight[count - 1] ?? 0) !== 1) return null;
  const slopes: number[] = [];
  for (let i = from; i < count; i += 1) {
    for (let j = i + 1; j < count; j += 1) {
      const apart = (t[j] ?? 0) - (t[i] ?? 0);
      if (apart > 0) slopes.push(((y[j] ?? 0) - (y[i] ?? 0)) / apart);
    }
  }
  const span = (t[count - 1] ?? 0) - (t[from] ?? 0);
  if (slopes.length === 0 || !(span > 0)) return null;
  return { slope: medianInPlace(slopes), uPerSd: Math.sqrt(12 / lastSamples) / span };
}

/** The rise as an inflow where it stands clear of what the whole rest shows; else null. */
export function clearOf(curve: FlowEstimate, { slope, uPerSd }: Rise, sampleSd_m3: number): FlowEstimate | null {
  const uFlow_m3s = 1.2 * uPerSd * sampleSd_m3;
  const clear = slope - curve.flow_m3s > Math.max(6 * uFlow_m3s, 0.3 * Math.abs(curve.flow_m3s));
  return clear ? { flow_m3s: slope, uFlow_m3s, degreesOfFreedom: lastSamples - 2 } : null;
}
