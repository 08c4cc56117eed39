// The latest levels, five at most, and the level in their middle freed of noise and spikes: the median of five, or of three
// where they are so far apart that five would smooth a run away.

import { learnRoughness, noiseOf_m } from "../readings/roughness.ts";
import { medianOfFive, medianOfThree } from "../statistics/median.ts";

export interface LevelWindow {
  /** The last five samples, oldest first, at the end of the five places, from which the median is taken; how many there are. */
  readonly recent_s: Float64Array;
  readonly recent_m: Float64Array;
  recent: number;
  /** How many of them, the newest, have not stood in the middle of a window yet. */
  unfed: number;
  /** Running median of |second difference|, for the noise of a sample. */
  roughness_m: number;
}

export const five = 5;

export function newLevelWindow(): LevelWindow {
  return { recent_s: new Float64Array(five), recent_m: new Float64Array(five), recent: 0, unfed: 0, roughness_m: 0 };
}

/** Closer together than this, one sample more or less is no matter. */
export const closeTogether_s = 4;
/** Farther apart than this a median wears the peaks down. */
export const farApart_s = 20;
/** Standard deviations of the noise; and how many times as far as its neighbours are apart. */
const surelyOff = 6;
const standsAlone = 3;

/** Takes the next level and gives those of which a whole window has now been seen. */
export function throughWindow(
  window: LevelWindow,
  swing_m: number | null,
  time_s: number,
  level_m: number,
  take: (time_s: number, level_m: number, smooth_m: number) => void,
): void {
  noteRecent(window, time_s, level_m);
  const width = medianWidth(window, swing_m);
  const half = (width - 1) / 2;
  // A width that changes must neither repeat a sample nor skip one.
  while (window.unfed > half) {
    const from = window.recent - window.unfed - half;
    window.unfed -= 1;
    if (from >= 0) feedMiddle(window, swing_m, five - window.recent + from, width, take);
  }
}

function noteRecent(window: LevelWindow, time_s: number, level_m: number): void {
  const { recent_s, recent_m } = window;
  for (let i = 1; i < five; i += 1) {
    recent_s[i - 1] = recent_s[i] ?? 0;
    recent_m[i - 1] = recent_m[i] ?? 0;
  }
  recent_s[five - 1] = time_s;
  recent_m[five - 1] = level_m;
  window.recent = Math.min(five, window.recent + 1);
  window.unfed += 1;
  if (window.recent >= 3) {
    window.roughness_m = learnRoughness(window.roughness_m, recent_m[2] ?? 0, recent_m[3] ?? 0, level_m);
  }
}

/** Takes the sample in the middle of a window of the recent ones, smoothed by the window's median. */
function feedMiddle(
  window: LevelWindow,
  swing_m: number | null,
  from: number,
  width: 3 | 5,
  take: (time_s: number, level_m: number, smooth_m: number) => void,
): void {
  const m = window.recent_m;
  const middle = from + (width >> 1);
  const time_s = window.recent_s[middle] as number;
  const level_m = m[middle] as number;
  const before_m = m[middle - 1] ?? 0;
  const after_m = m[middle + 1] ?? 0;
  const smooth_m =
    width === 5
      ? medianOfFive(m[from] ?? 0, before_m, level_m, after_m, m[from + 4] ?? 0)
      : ofThree(window, swing_m, middle);
  take(time_s, level_m, smooth_m);
}

/**
 * The median; where samples are so far apart that it wears the peaks down, the sample itself, unless it stands alone: off
 * both its neighbours by much more than those and the one before them differ. No basin fills and empties so fast.
 */
function ofThree({ recent, recent_s, recent_m, roughness_m }: LevelWindow, swing_m: number | null, middle: number) {
  const [level_m, before_m, after_m] = [middle, middle - 1, middle + 1].map((i) => recent_m[i] as number) as [
    number,
    number,
    number,
  ];
  const median_m = medianOfThree(before_m, level_m, after_m);
  if ((recent_s[middle + 1] as number) - (recent_s[middle] as number) <= farApart_s) return median_m;
  const earlier_m = recent === five && middle >= 2 ? (recent_m[middle - 2] as number) : before_m;
  const apart_m = Math.max(earlier_m, before_m, after_m) - Math.min(earlier_m, before_m, after_m);
  const off_m = (level_m - before_m) * (level_m - after_m) > 0 ? Math.abs(level_m - median_m) : 0;
  const clear_m = Math.max(surelyOff * noiseOf_m(roughness_m), (swing_m ?? 0) / 8);
  return off_m > clear_m && off_m > standsAlone * apart_m ? median_m : level_m;
}

/** Five samples against noise and spikes; fewer where samples are so far apart that five would smooth a run away. */
function medianWidth({ recent, recent_s, roughness_m }: LevelWindow, swing_m: number | null): 3 | 5 {
  const interval_s = recent < 2 ? 0 : (recent_s[4] ?? 0) - (recent_s[3] ?? 0);
  if (interval_s <= closeTogether_s) return 5;
  const quiet = swing_m !== null && noiseOf_m(roughness_m) < swing_m / 16;
  return quiet ? 3 : 5;
}
