// Samples for the tests of fits: times, values and, unless given, weights of 1.

import type { CurveSamples } from "../../../analysis/statistics/fit-curve.ts";

export function curveSamples(t: readonly number[], y: (t: number, i: number) => number): CurveSamples {
  return {
    t: Float64Array.from(t),
    y: Float64Array.from(t, y),
    weight: new Float64Array(t.length).fill(1),
    count: t.length,
  };
}

export function everySecond(count: number, interval_s = 1): number[] {
  return Array.from({ length: count }, (_, i) => i * interval_s);
}
