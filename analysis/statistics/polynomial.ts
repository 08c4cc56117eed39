// A polynomial by its powers, over times scaled to the span of the samples: its value at one time, and what it leaves of
// many samples.

import type { CurveSamples, TimeFunction } from "./fit-curve.ts";

/** Σ powers[m]·x^m with x = (t − middle) / half. */
export interface Polynomial {
  readonly powers: readonly number[];
  readonly middle: number;
  readonly half: number;
}

/** So few powers need no loop. */
const few = 4;

export function functionOf({ powers, middle, half }: Polynomial): TimeFunction {
  if (powers.length <= few) {
    const a = powers[0] ?? 0;
    const b = powers[1] ?? 0;
    const c = powers[2] ?? 0;
    const d = powers[3] ?? 0;
    return (t) => {
      const x = (t - middle) / half;
      return ((d * x + c) * x + b) * x + a;
    };
  }
  return (t) => {
    const x = (t - middle) / half;
    let value = 0;
    for (let m = powers.length - 1; m >= 0; m -= 1) value = value * x + (powers[m] as number);
    return value;
  };
}

/** What it leaves of the samples from index `from` on, written where they stand: to the digit what its function leaves. */
export function leaveOf(polynomial: Polynomial, { t, y, count }: CurveSamples, from: number, left: Float64Array): void {
  const { powers, middle, half } = polynomial;
  if (powers.length > few) {
    const valueAt = functionOf(polynomial);
    for (let i = from; i < count; i += 1) left[i] = (y[i] as number) - valueAt(t[i] as number);
    return;
  }
  const a = powers[0] ?? 0;
  const b = powers[1] ?? 0;
  const c = powers[2] ?? 0;
  const d = powers[3] ?? 0;
  for (let i = from; i < count; i += 1) {
    const x = ((t[i] as number) - middle) / half;
    left[i] = (y[i] as number) - (((d * x + c) * x + b) * x + a);
  }
}
