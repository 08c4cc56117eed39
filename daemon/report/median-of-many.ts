// The median of values without number, in bounded memory: every value until there are many, then every second one, every
// fourth, and so on.

export interface MedianOfMany {
  add(value: number): void;
  /** Null when there was no value. */
  median(): number | null;
}

export function medianOfMany(mostKept = 8192): MedianOfMany {
  let kept: number[] = [];
  let stride = 1;
  let seen = 0;
  return {
    add(value) {
      if (seen++ % stride === 0) kept.push(value);
      if (kept.length < mostKept) return;
      kept = kept.filter((_, index) => index % 2 === 0);
      stride *= 2;
    },
    median() {
      const sorted = kept.toSorted((a, b) => a - b);
      const [below, above] = [sorted[Math.floor((sorted.length - 1) / 2)], sorted[Math.floor(sorted.length / 2)]];
      return below === undefined || above === undefined ? null : (below + above) / 2;
    },
  };
}
