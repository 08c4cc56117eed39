// Times of work done again and again.

export function once_ms(work: () => unknown): number {
  const begin = performance.now();
  work();
  return performance.now() - begin;
}

/** Median of so many rounds, after two that warm it up. */
export function median_ms(work: () => unknown, rounds: number): number {
  return quantile_ms(work, rounds, 0.5);
}

export function quantile_ms(work: () => unknown, rounds: number, share: number): number {
  const times = Array.from({ length: rounds + 2 }, () => once_ms(work)).slice(2);
  return times.sort((a, b) => a - b)[Math.floor((times.length - 1) * share)] ?? Number.NaN;
}
