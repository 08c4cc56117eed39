/** Highest of the first `count` values less the lowest; 0 of none. */
export function rangeOf(values: Float64Array, count: number): number {
  let [lowest, highest] = [values[0] ?? 0, values[0] ?? 0];
  for (let i = 1; i < count; i += 1) {
    lowest = Math.min(lowest, values[i] as number);
    highest = Math.max(highest, values[i] as number);
  }
  return highest - lowest;
}
