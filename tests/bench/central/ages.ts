// How old a level was when it was seen: since it was published last. Both times by the machine's one clock. Pure.

/** A board's number, the level that it published or that was seen, and when. */
export type Moment = readonly [board: number, level_m: number, at_ms: number];

/** @returns in ms, of each that was seen and is known to have been published before */
export function agesOf(published: readonly Moment[], seen: readonly Moment[]): number[] {
  const times = Map.groupBy(published, ([board, level_m]) => `${board} ${level_m}`);
  return seen.flatMap(([board, level_m, at_ms]) => {
    const before = times.get(`${board} ${level_m}`)?.findLast(([, , then_ms]) => then_ms <= at_ms);
    return before === undefined ? [] : [at_ms - before[2]];
  });
}
