// The latest levels, five at most, and the level in their middle freed of noise and spikes: the median of five or, where they
// are so far apart that it would smooth a run away, the level itself if it is no spike.

import { learnRoughness, learnRoughnessBesideTurns, noiseOf_m } from "../../readings/roughness.ts";
import { medianOfFive, medianOfThree } from "../../statistics/median.ts";

export interface LevelWindow {
  /** The last five samples, oldest first, at the end of the five places, from which the median is taken; how many there are. */
  readonly recent_s: Float64Array;
  readonly recent_m: Float64Array;
  recent: number;
  /** How many of them, the newest, have not stood in the middle of a window yet. */
  unfed: number;
  /** Running median of |second difference|, for the noise of a sample. */
  roughness_m: number;
  /** Between which the level has gone up and down of late, where samples stand far apart; NaN before that is seen. */
  lowest_m: number;
  highest_m: number;
}

export const five = 5;

export function newLevelWindow(): LevelWindow {
  const range = { lowest_m: Number.NaN, highest_m: Number.NaN };
  return {
    recent_s: new Float64Array(five),
    recent_m: new Float64Array(five),
    recent: 0,
    unfed: 0,
    roughness_m: 0,
    ...range,
  };
}

/** Closer together than this, one sample more or less is no matter. */
export const closeTogether_s = 4;
/** Farther apart than this a whole cycle may go by in five. */
const farApart_s = 20;
/** Standard deviations of the noise; how many times as far as the level goes on beside it, or as its neighbours are apart. */
const surelyOff = 6;
const turnsBy = 1.5;
const standsAlone = 3;
/** On one side of a turn the water goes no more times as far as on the other: what comes in comes in on both. Judgement, no source. */
const mostApart = 4;

/**
 * A range that is not reached any more shrinks by this share with each sample: hardly within a cycle of some samples, by half in
 * some forty. Judgement, no source.
 */
const shrinks = 1 / 64;

/** Takes the next level and gives those of which a whole window has now been seen. */
export function throughWindow(
  window: LevelWindow,
  swing_m: number | null,
  time_s: number,
  level_m: number,
  take: (time_s: number, level_m: number, smooth_m: number) => void,
): void {
  noteRecent(window, time_s, level_m);
  const about_m = swing_m ?? seenSwing_m(window);
  const width = medianWidth(window, about_m);
  const half = (width - 1) / 2;
  // A width that changes must neither repeat a sample nor skip one.
  while (window.unfed > half) {
    const from = window.recent - window.unfed - half;
    window.unfed -= 1;
    if (from >= 0) feedMiddle(window, about_m, swing_m !== null, five - window.recent + from, width, take);
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
    const { recent, roughness_m } = window;
    const far = time_s - (recent_s[3] ?? 0) > closeTogether_s;
    if (far) noteRange(window, medianOfThree(recent_m[2] as number, recent_m[3] as number, level_m));
    else forgetRange(window);
    window.roughness_m =
      far && recent > 3 && roughness_m > 0
        ? learnRoughnessBesideTurns(roughness_m, recent_m)
        : learnRoughness(roughness_m, recent_m[2] ?? 0, recent_m[3] ?? 0, level_m);
  }
}

/** Takes the middle of three levels, which no single spike is. */
function noteRange(window: LevelWindow, level_m: number): void {
  const { lowest_m, highest_m } = window;
  window.lowest_m = level_m > lowest_m ? lowest_m + shrinks * (level_m - lowest_m) : level_m;
  window.highest_m = level_m < highest_m ? highest_m - shrinks * (highest_m - level_m) : level_m;
}

/** What is seen of samples far apart says nothing once they stand close together. */
function forgetRange(window: LevelWindow): void {
  window.lowest_m = Number.NaN;
  window.highest_m = Number.NaN;
}

/** Where no float levels are stated, it goes up and down about so far; null before that is seen. */
export function seenSwing_m({ lowest_m, highest_m }: LevelWindow): number | null {
  return highest_m > lowest_m ? highest_m - lowest_m : null;
}

/** Takes the sample in the middle of a window of the recent ones, freed of spikes by the window. */
function feedMiddle(
  window: LevelWindow,
  swing_m: number | null,
  stated: boolean,
  from: number,
  width: 3 | 5,
  take: (time_s: number, level_m: number, smooth_m: number) => void,
): void {
  const m = window.recent_m;
  const middle = from + (width >> 1);
  const time_s = window.recent_s[middle] as number;
  const level_m = m[middle] as number;
  take(time_s, level_m, width === 3 ? ofThree(window, swing_m, stated, middle) : ofFive(window, swing_m, from));
}

/** The median; where samples are so far apart that it wears the peaks down, the level itself unless it is a spike. */
function ofFive(window: LevelWindow, swing_m: number | null, from: number): number {
  const { recent_s, recent_m: m } = window;
  const level_m = m[from + 2] as number;
  const far = (recent_s[from + 3] as number) - (recent_s[from + 2] as number) > closeTogether_s;
  if (far && isQuiet(window, swing_m) && mayTurn(window, swing_m, from)) return level_m;
  return medianOfFive(m[from] ?? 0, m[from + 1] ?? 0, level_m, m[from + 3] ?? 0, m[from + 4] ?? 0);
}

/**
 * A level stands out from those beside it by no more than the water goes on to rise, or has fallen, from one to the next on
 * the side that it stands out less from; a spike does by more. The water that a run has taken away is not back with the next
 * level, nor the one after: what runs back through the valve comes at first as quickly as it likes.
 *
 * @param from the first of five of which it is the third
 */
function mayTurn({ recent_m, roughness_m }: LevelWindow, swing_m: number | null, from: number): boolean {
  const at_m = (i: number) => recent_m[from + i] as number;
  const [before_m, level_m, after_m] = [at_m(1), at_m(2), at_m(3)];
  const [over_m, overAfter_m] = [level_m - before_m, level_m - after_m];
  if (over_m * overAfter_m <= 0) return true;
  const [rose_m, falls_m] = [before_m - at_m(0), after_m - at_m(4)];
  const [off_m, goes_m, other_m] =
    Math.abs(over_m) < Math.abs(overAfter_m) ? [over_m, rose_m, falls_m] : [overAfter_m, falls_m, rose_m];
  const clear_m = clearOff_m(roughness_m, swing_m);
  const runsBack = level_m < after_m && after_m < at_m(4) && before_m - at_m(4) > clear_m;
  if (runsBack) return true;
  // Spikes either way with one level between them make a turn of each other.
  const goesOn_m = Math.min(Math.sign(off_m) * goes_m, mostApart * Math.abs(other_m));
  return Math.abs(off_m) <= clear_m + turnsBy * Math.max(0, goesOn_m);
}

function clearOff_m(roughness_m: number, swing_m: number | null): number {
  return Math.max(surelyOff * noiseOf_m(roughness_m), (swing_m ?? 0) / 8);
}

/**
 * The level itself, unless it stands alone: off both its neighbours by much more than those and the one before them differ.
 * No basin fills and empties so fast.
 */
function ofThree(
  { recent, recent_m, roughness_m }: LevelWindow,
  swing_m: number | null,
  stated: boolean,
  middle: number,
) {
  const [level_m, before_m, after_m] = [middle, middle - 1, middle + 1].map((i) => recent_m[i] as number) as [
    number,
    number,
    number,
  ];
  const median_m = medianOfThree(before_m, level_m, after_m);
  const earlier_m = recent === five && middle >= 2 ? (recent_m[middle - 2] as number) : before_m;
  // How far the levels of a cycle lie apart is but a guess where no float levels are stated: from one to the next counts then.
  const apart_m = stated
    ? Math.max(earlier_m, before_m, after_m) - Math.min(earlier_m, before_m, after_m)
    : Math.max(Math.abs(before_m - earlier_m), Math.abs(after_m - before_m) / 2);
  const off_m = (level_m - before_m) * (level_m - after_m) > 0 ? Math.abs(level_m - median_m) : 0;
  return off_m > clearOff_m(roughness_m, swing_m) && off_m > standsAlone * apart_m ? median_m : level_m;
}

/** Five samples against noise and spikes; fewer where samples are so far apart that a whole cycle goes by in five. */
function medianWidth(window: LevelWindow, swing_m: number | null): 3 | 5 {
  const { recent, recent_s } = window;
  const interval_s = recent < 2 ? 0 : (recent_s[4] ?? 0) - (recent_s[3] ?? 0);
  return interval_s > farApart_s && isQuiet(window, swing_m) ? 3 : 5;
}

function isQuiet({ roughness_m }: LevelWindow, swing_m: number | null): boolean {
  return swing_m !== null && noiseOf_m(roughness_m) < swing_m / 16;
}
