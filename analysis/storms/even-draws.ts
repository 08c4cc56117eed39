// Figures drawn from a normal curve without chance: the same ones each time, spread evenly (Halton 1960).

import { normalQuantile } from "../statistics/normal-quantile.ts";
import type { Posterior } from "./posterior.ts";

/** Figures as far from the most probable ones as the storms leave open: the same draws each time, spread evenly. */
export function evenDraws({ at, triangle }: Posterior, count: number): number[][] {
  return Array.from({ length: count }, (_, k) => {
    const normal = at.map((__, j) => normalQuantile(vanDerCorput(k + 1, primes[j] as number)));
    return at.map((value, i) => {
      const row = triangle[i] as readonly number[];
      return value + row.reduce((sum, v, j) => sum + v * (normal[j] as number), 0);
    });
  });
}

const primes = [2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37] as const;

/** @see Halton (1960): points that fill a space evenly without chance */
function vanDerCorput(index: number, base: number): number {
  let [value, part] = [0, 1];
  for (let i = index; i > 0; i = Math.floor(i / base)) {
    part /= base;
    value += part * (i % base);
  }
  return value;
}
