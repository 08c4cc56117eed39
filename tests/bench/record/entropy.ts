// How little the level of a recording can take: the entropy of a sensor's noise, and of what the store's own foretelling
// leaves of it.

import { foretellInPlace } from "../../../daemon/stores/chunk/predict.ts";

/** Of white noise rounded to a step, in bytes a reading: ½·log2(2πe·(sd/step)²) bits. */
export function noiseEntropy_B(sd: number, step: number): number {
  return Math.log2(2 * Math.PI * Math.E * (sd / step) ** 2) / 2 / 8;
}

/** Of the residuals of whole numbers, in bytes a reading. */
export function residualEntropy_B(steps: Float64Array): number {
  const counts = new Map<number, number>();
  const residuals = steps.slice();
  foretellInPlace(residuals, "line");
  for (const residual of residuals) counts.set(residual, (counts.get(residual) ?? 0) + 1);
  let bits = 0;
  for (const count of counts.values()) bits -= (count / steps.length) * Math.log2(count / steps.length);
  return bits / 8;
}
