// The median, by selection instead of sorting: of few it is asked for at every reading, of many at every pump cycle.

/**
 * Median of the first `count` values; NaN when there are none, for an even count the upper of the two. Reorders those of a
 * typed array.
 */
export function medianInPlace(values: Float64Array | readonly number[], count = values.length): number {
  if (count === 0) return Number.NaN;
  if (values instanceof Float64Array) return select(values, count);
  if (work.length < count) work = new Float64Array(2 * count);
  for (let i = 0; i < count; i += 1) work[i] = values[i] as number;
  return select(work, count);
}

let work = new Float64Array(256);

function select(values: Float64Array, count: number): number {
  const wanted = count >> 1;
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

/** The middle one of three numbers. */
export function medianOfThree(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
