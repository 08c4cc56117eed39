// Power cuts put in order: overlapping ones are one.

export interface PowerCut {
  readonly from_s: number;
  readonly to_s: number;
}

/**
 * @returns the cuts in order of time, none touching another
 * @throws {RangeError} on a cut that ends before it begins
 */
export function mergedCuts(cuts: readonly PowerCut[]): PowerCut[] {
  const merged: { from_s: number; to_s: number }[] = [];
  for (const { from_s, to_s } of [...cuts].sort((a, b) => a.from_s - b.from_s)) {
    if (!(to_s >= from_s)) throw new RangeError(`replay: a power cut ends at ${to_s} s, before it begins, ${from_s} s`);
    const last = merged.at(-1);
    if (last !== undefined && from_s <= last.to_s) last.to_s = Math.max(last.to_s, to_s);
    else merged.push({ from_s, to_s });
  }
  return merged;
}
