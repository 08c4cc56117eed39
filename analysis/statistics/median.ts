// The median, by selection instead of sorting: of few it is asked for at every reading, of many at every pump cycle.

/**
 * Median of the first `count` values; NaN when there are none, for an even count the upper of the two. Reorders those of a
 * typed array.
 */
export function medianInPlace(values: Float64Array | readonly number[], count = values.length): number {
  if (count === 0) return Number.NaN;
  return values instanceof Float64Array ? middleOf(values, count) : medianOfPart(values, 0, count);
}

/** Median of those from index `from` to `to` (not included); NaN when there are none. */
export function medianOfPart(values: readonly number[], from: number, to: number): number {
  const count = to - from;
  if (!(count > 0)) return Number.NaN;
  if (work.length < count) work = new Float64Array(2 * count);
  for (let i = 0; i < count; i += 1) work[i] = values[from + i] as number;
  return middleOf(work, count);
}

let work = new Float64Array(256);
let near = new Float64Array(256);

/** So few are put in order sooner, so many are counted in bins sooner than they are taken apart by one another. */
const few = 12;
const many = 200;
const bins = new Uint32Array(256);

function middleOf(values: Float64Array, count: number): number {
  if (count <= few) return inOrder(values, count);
  return count < many ? inPlace(values, count, count >> 1) : byBins(values, count);
}

function inOrder(values: Float64Array, count: number): number {
  for (let i = 1; i < count; i += 1) {
    const value = values[i] as number;
    let j = i - 1;
    for (; j >= 0 && (values[j] as number) > value; j -= 1) values[j + 1] = values[j] as number;
    values[j + 1] = value;
  }
  return values[count >> 1] as number;
}

/** Counts the values in bins of equal width, which no branch depends on, and looks through the middle bin alone. */
function byBins(values: Float64Array, count: number): number {
  const wanted = count >> 1;
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < count; i += 1) {
    lowest = Math.min(lowest, values[i] as number);
    highest = Math.max(highest, values[i] as number);
  }
  const perBin = (bins.length - 1) / (highest - lowest);
  // All alike, or some no number.
  if (!(perBin > 0 && perBin < Number.POSITIVE_INFINITY)) return inPlace(values, count, wanted);
  bins.fill(0);
  for (let i = 0; i < count; i += 1) {
    const bin = (((values[i] as number) - lowest) * perBin) | 0;
    bins[bin] = (bins[bin] as number) + 1;
  }
  let middle = 0;
  let below = 0;
  while (below + (bins[middle] as number) <= wanted) {
    below += bins[middle] as number;
    middle += 1;
  }
  const inBin = bins[middle] as number;
  if (near.length < inBin) near = new Float64Array(2 * inBin);
  let found = 0;
  for (let i = 0; i < count; i += 1) {
    const value = values[i] as number;
    if ((((value - lowest) * perBin) | 0) === middle) {
      near[found] = value;
      found += 1;
    }
  }
  return inPlace(near, inBin, wanted - below);
}

/** The value of the first `count` that stands at place `wanted` once they are in order, the lowest at 0. Reorders them. */
export function inPlace(values: Float64Array, count: number, wanted: number): number {
  let low = 0;
  let high = count - 1;
  while (low < high) {
    const pivot = values[(low + high) >> 1] as number;
    let i = low;
    let j = high;
    while (i <= j) {
      while ((values[i] as number) < pivot) i += 1;
      while ((values[j] as number) > pivot) j -= 1;
      if (i <= j) {
        const swapped = values[i] as number;
        values[i] = values[j] as number;
        values[j] = swapped;
        i += 1;
        j -= 1;
      }
    }
    if (wanted <= j) high = j;
    else if (wanted >= i) low = i;
    else break;
  }
  return values[wanted] as number;
}

/** The middle one of five numbers. */
export function medianOfFive(a: number, b: number, c: number, d: number, e: number): number {
  // Neither the least of four nor the greatest of them can be the middle of five.
  const low = Math.max(Math.min(a, b), Math.min(c, d));
  const high = Math.min(Math.max(a, b), Math.max(c, d));
  return medianOfThree(low, high, e);
}

/** Of five that follow one another, from `i` on. */
export function medianFrom(values: Float64Array, i: number): number {
  return medianOfFive(
    values[i] as number,
    values[i + 1] as number,
    values[i + 2] as number,
    values[i + 3] as number,
    values[i + 4] as number,
  );
}

/** The middle one of three numbers. */
export function medianOfThree(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
