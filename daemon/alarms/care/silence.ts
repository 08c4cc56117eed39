// Since when a sensor that speaks regularly has said nothing. One that speaks only when something changes may be silent
// for weeks and be well.

export interface SilenceWatch {
  /**
   * @param last_s time of the newest reading; null: none yet
   * @returns undefined: nothing has come since the start, and it is too early to say
   */
  since(last_s: number | null, now_s: number): number | null | undefined;
}

export const intervalsKept = 30;
/** Regular: nine intervals in ten are within so many times the shortest tenth; a pump's starts and stops are not. */
const regular = 3;
const manyIntervals = 20;
/** What a sensor says on several topics, one after another, is one telling. */
const together_s = 5;
const shortest_s = 300;

/**
 * @param started_s what was silent before says nothing: nobody listened
 * @param before_s  times of the newest readings on record at the start, oldest first: a sensor that fell silent before the
 *                  board was restarted is missed all the same
 */
export function createSilenceWatch(
  started_s = Number.NEGATIVE_INFINITY,
  before_s: readonly number[] = [],
): SilenceWatch {
  const told_s = tellings(before_s);
  let newest_s: number | null = told_s.at(-1) ?? null;
  let intervals = told_s
    .slice(1)
    .map((time_s, i) => time_s - (told_s[i] ?? time_s))
    .slice(-intervalsKept);
  return {
    since(last_s, now_s) {
      if (last_s === null) return null;
      const isNew = newest_s === null || last_s < newest_s || last_s - newest_s >= together_s;
      // Across the start it is no interval of the sensor's.
      if (newest_s !== null && last_s > newest_s && isNew && newest_s >= started_s)
        intervals = [...intervals, last_s - newest_s].slice(-intervalsKept);
      if (isNew) newest_s = last_s;
      if (intervals.length < intervalsKept) return null;
      const inOrder = intervals.toSorted((a, b) => a - b);
      const [short_s = 0, median_s = 0, long_s = 0] = [0.1, 0.5, 0.9].map((part) => inOrder[part * intervalsKept]);
      if (long_s > regular * short_s) return null;
      const heard_s = Math.max(last_s, started_s);
      if (now_s - heard_s > Math.max(shortest_s, manyIntervals * median_s)) return heard_s;
      return last_s < started_s ? undefined : null;
    },
  };
}

/** The first of what comes together. */
function tellings(times_s: readonly number[]): number[] {
  const first_s: number[] = [];
  for (const time_s of times_s)
    if (time_s - (first_s.at(-1) ?? Number.NEGATIVE_INFINITY) >= together_s) first_s.push(time_s);
  return first_s;
}
