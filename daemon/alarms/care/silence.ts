// Since when a sensor that speaks regularly has said nothing. One that speaks only when something changes may be silent
// for weeks and be well.

export interface SilenceWatch {
  /** @param last_s time of the newest reading; null: none yet */
  since(last_s: number | null, now_s: number): number | null;
}

const intervalsKept = 30;
/** Regular: nine intervals in ten are within so many times the shortest tenth; a pump's starts and stops are not. */
const regular = 3;
const manyIntervals = 20;
const shortest_s = 300;

export function createSilenceWatch(): SilenceWatch {
  let newest_s: number | null = null;
  let intervals: number[] = [];
  return {
    since(last_s, now_s) {
      if (last_s === null) return null;
      if (newest_s !== null && last_s > newest_s) intervals = [...intervals, last_s - newest_s].slice(-intervalsKept);
      newest_s = last_s;
      if (intervals.length < intervalsKept) return null;
      const inOrder = intervals.toSorted((a, b) => a - b);
      const [short_s = 0, median_s = 0, long_s = 0] = [0.1, 0.5, 0.9].map((part) => inOrder[part * intervalsKept]);
      if (long_s > regular * short_s) return null;
      return now_s - last_s > Math.max(shortest_s, manyIntervals * median_s) ? last_s : null;
    },
  };
}
