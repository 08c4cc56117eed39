// Times several pieces of work in turns, round by round, so that what else the machine does falls on all alike.

export interface Work {
  readonly name: string;
  readonly run: () => unknown;
}

/** Median time of each, in ms, after one round that warms up. */
export async function inTurns(works: readonly Work[], rounds: number): Promise<Map<string, number>> {
  const times = new Map(works.map(({ name }): [string, number[]] => [name, []]));
  for (let round = 0; round <= rounds; round++) {
    for (const { name, run } of works) {
      const begin = performance.now();
      await run();
      if (round > 0) times.get(name)?.push(performance.now() - begin);
    }
  }
  return new Map([...times].map(([name, taken]) => [name, median(taken)]));
}

export function median(values: readonly number[]): number {
  return quantile(values, 0.5);
}

export function quantile(values: readonly number[], share: number): number {
  const sorted = Float64Array.from(values).sort();
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
}
