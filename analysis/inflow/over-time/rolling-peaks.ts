// The highest mean inflow over rolling windows (a minute, ten minutes, an hour), kept as the inflow becomes known.

import { normalQuantile } from "../../statistics/normal-quantile.ts";
import { rootOfSquares } from "../../statistics/root-of-squares.ts";
import { clearOfNoise } from "./clear-of-noise.ts";
import { addToTotal, endNeighbours, newTotal, type TotalInflow } from "./total-inflow.ts";
import { about, mayBeUnseen, type NearPeak, newNearPeak, noteSeen, noteUnseen } from "./unseen-peak.ts";
import {
  addCorner,
  type Corners,
  cornerAtOrAfter,
  forgetCornersBefore,
  noCorners,
  noiseOver,
  uncertaintyOver,
  volumeAt,
} from "./volume-corners.ts";

export interface Peak {
  readonly inflow_m3s: number;
  readonly uInflow_m3s: number;
  /** Middle of the window. */
  readonly at_s: number;
  /** In some of the window the inflow is unknown, and counts as none: the mean is at least that. */
  readonly isLeast?: true;
}

export const windows_s = [60, 600, 3600] as const;

/** What may have come in over a window at the most, and how well the volumes in it are known. */
export type MostOfPeak = Omit<Peak, "at_s" | "isLeast">;

/** Corners of the cumulated inflow since the last gap, plus what was found. */
export interface PeaksState extends Corners, TotalInflow {
  /** When the newest unknown stretch among the corners ended. */
  unknownUpTo_s: number;
  readonly near: readonly NearPeak[];
  readonly far: readonly FarFromPeak[];
  /** Over each window, as measured. */
  peaks: (Peak | null)[];
  /** … and of those known as a whole the one that is highest once noise is out of it; see `peakOver`. */
  clear: (ClearPeak | null)[];
  /** The highest mean over each window that there may have been where only a volume is known, not when it came in. */
  most: MostOfPeak[];
  /** Of each peak: its uncertainty by itself, how many estimates were alike, and the highest window of the newest estimate. */
  uAlone_m3s: number[];
  alike: number[];
  newest_m3s: number[];
}

/** As measured, and its standard uncertainty by noise alone. */
export interface ClearPeak {
  readonly inflow_m3s: number;
  readonly uNoise_m3s: number;
  readonly at_s: number;
}

/** How low inflow must be to be far from a peak, and when it was last higher. */
interface FarFromPeak {
  upTo_m3s: number;
  overUntil_s: number;
}

/** Within so many standard deviations of the peak another estimate is like it. */
const likeIt = 3;
/** A window in which some is unknown is the highest only where it is surely higher than one known as a whole. */
const surely = 1.03;
/** In a window so many times as long as a stretch it matters little when within it the volume came in: common practice, no source. */
const atOnce = 4;
/** Beside an unknown stretch is so long before it, for a sensor fails before that is told; what comes first after it goes on. */
const before_s = 900;
const after_s = 200;
/** Stands for the estimate of an unknown stretch. */
const noEstimate = -1;
const unknown = { u_m3s: 0, uNotNoise_m3s: 0, uUpTo_m3: 0, estimate: noEstimate };
/** Stretches that follow one another may be as far apart by rounding. */
export const inTouch_s = 0.01;
const mostAlike = 1e6;

export function newPeaks(): PeaksState {
  return {
    ...noCorners(),
    ...newTotal(),
    unknownUpTo_s: Number.NEGATIVE_INFINITY,
    near: windows_s.map(newNearPeak),
    far: windows_s.map(() => ({ upTo_m3s: Number.NaN, overUntil_s: Number.NEGATIVE_INFINITY })),
    peaks: windows_s.map(() => null),
    clear: windows_s.map(() => null),
    most: windows_s.map(() => ({ inflow_m3s: 0, uInflow_m3s: 0 })),
    uAlone_m3s: windows_s.map(() => 0),
    alike: windows_s.map(() => 0),
    newest_m3s: windows_s.map(() => Number.NEGATIVE_INFINITY),
  };
}

/** What comes after the newest stretch is unknown: no window reaches across. */
export function breakPeaks(state: PeaksState): void {
  Object.assign(state, noCorners());
  endNeighbours(state);
}

/** What else makes a stretch less sure, or surer, than its estimate's mean; absent: nothing does. */
export interface BesideMean {
  /**
   * How far the stretch may be off beside it; what is off one way here is off the other way elsewhere, so that the sum over
   * everything has no part in it.
   */
  readonly uBend_m3s?: number | undefined;
  /** How well it is known what the estimate has brought up to the stretch's end, where better than by its stretches. */
  readonly uUpTo_m3?: number | undefined;
  /** How far it may be off for another reason than noise. */
  readonly uNotNoise_m3s?: number;
}

/**
 * Adds a stretch of known inflow. Of the time since the one before, if there is any, nothing is known: it counts as none
 * in windows that reach across, which are said to be the least.
 *
 * @param estimate number of the estimate that the stretch belongs to: errors within one estimate are taken as equal,
 *                 errors of different ones as independent
 */
export function addStretch(
  state: PeaksState,
  from_s: number,
  to_s: number,
  inflow_m3s: number,
  uInflow_m3s: number,
  estimate: number,
  { uBend_m3s = 0, uUpTo_m3 = Number.POSITIVE_INFINITY, uNotNoise_m3s = 0 }: BesideMean = {},
): void {
  if (!(to_s > from_s)) return;
  if (from_s - (state.time_s[state.time_s.length - 1] ?? from_s) > inTouch_s) bridge(state, from_s, inflow_m3s);
  if (state.time_s.length === 0) addCorner(state, { ...unknown, time_s: from_s, volume_m3: 0 });
  const last = state.time_s.length - 1;
  const volume_m3 = (state.volume_m3[last] ?? 0) + inflow_m3s * (to_s - from_s);
  const u_m3s = rootOfSquares(uInflow_m3s, uBend_m3s);
  addCorner(state, { time_s: to_s, volume_m3, u_m3s, uNotNoise_m3s, uUpTo_m3, estimate });
  if (estimate !== state.newestEstimate) countAlike(state);
  addToTotal(state, to_s - from_s, inflow_m3s, uInflow_m3s, estimate);
  for (let w = 0; w < windows_s.length; w += 1) {
    const near = mayBeNear(state, w, from_s, to_s, inflow_m3s);
    const highest_m3s = near ? searchNewWindows(state, w, from_s, to_s) : Number.NEGATIVE_INFINITY;
    const peak_m3s = state.peaks[w]?.inflow_m3s ?? 0;
    // Where itself it is lower, no window that ends in it reaches back from farther on.
    const most_s = inflow_m3s > about * peak_m3s ? Number.POSITIVE_INFINITY : (windows_s[w] as number);
    noteSeen(state.near[w] as NearPeak, peak_m3s, highest_m3s, Math.min(to_s - from_s, most_s));
  }
  // A window that ends as the newest stretch begins still reaches back from there.
  forgetCornersBefore(state, from_s - (windows_s[windows_s.length - 1] as number));
}

/**
 * Whether a window that ends in the new stretch may come near the peak: not where all of it is so much lower that it is
 * neither about as high nor like it.
 */
function mayBeNear(state: PeaksState, w: number, from_s: number, to_s: number, inflow_m3s: number): boolean {
  const best = state.peaks[w];
  const far = state.far[w] as FarFromPeak;
  const like_m3s = best ? best.inflow_m3s - likeIt * (state.uAlone_m3s[w] ?? 0) : Number.NEGATIVE_INFINITY;
  const upTo_m3s = best ? Math.min(about * best.inflow_m3s, like_m3s) : like_m3s;
  // A peak that was taken back leaves what is lower than another.
  if (inflow_m3s > upTo_m3s || upTo_m3s < far.upTo_m3s) far.overUntil_s = to_s;
  far.upTo_m3s = upTo_m3s;
  return far.overUntil_s > from_s - (windows_s[w] as number);
}

/**
 * More may have come in over window `w` than its peak, at a time of which nothing is known.
 *
 * @param known_s all time of which the inflow is known; of a storm alone that is little of it
 */
export function isLeastPeak({ peaks, near, totalTime_s }: PeaksState, w: number, known_s = totalTime_s): boolean {
  // Where more may have come in over a longer window, it may have so within it.
  return peaks[w]?.isLeast === true || near.slice(w).some((one) => mayBeUnseen(one, known_s));
}

/**
 * Of the newest stretch nothing shows when in it its volume came in: that may have been at its beginning, and what came in
 * the stretch in which a window up to there begins, at its end. So the window may hold all that came in either, and between.
 */
export function noteAtOnce(state: PeaksState): void {
  const { time_s, volume_m3, head, most } = state;
  const last = time_s.length - 1;
  if (last <= head) return;
  const from_s = time_s[last - 1] as number;
  const to_s = time_s[last] as number;
  windows_s.forEach((window_s, w) => {
    if (!(to_s - from_s > window_s / atOnce)) return;
    const next = cornerAtOrAfter(state, from_s - window_s);
    const first = (time_s[next] as number) > from_s - window_s ? Math.max(head, next - 1) : next;
    const inflow_m3s = ((volume_m3[last] as number) - (volume_m3[first] as number)) / window_s;
    if (!(inflow_m3s > (most[w]?.inflow_m3s ?? 0))) return;
    most[w] = { inflow_m3s, uInflow_m3s: uncertaintyOver(state, time_s[first] as number, to_s) / window_s };
  });
}

/** In the newest stretch more may have come in than is known of it, as much again: a time of which the most is not known. */
export function noteLeast(state: PeaksState, length_s: number, inflow_m3s: number): void {
  windows_s.forEach((window_s, w) => {
    const peak_m3s = state.peaks[w]?.inflow_m3s ?? 0;
    noteUnseen(state.near[w] as NearPeak, window_s, peak_m3s, length_s, (over_m3s) =>
      over_m3s < 2 * inflow_m3s ? length_s : 0,
    );
  });
}

/** The most that may have come in over window `w`, where that is clearly more than its peak; null: no more than the peak. */
export function mostOfPeak({ peaks, most }: PeaksState, w: number): MostOfPeak | null {
  const found = most[w] ?? null;
  return found && found.inflow_m3s > surely * (peaks[w]?.inflow_m3s ?? Number.POSITIVE_INFINITY) ? found : null;
}

/** Takes in a stretch of which nothing is known, once something is again. */
function bridge(state: PeaksState, to_s: number, after_m3s: number): void {
  const last = state.time_s.length - 1;
  const from_s = state.time_s[last] as number;
  const from_m3 = state.volume_m3[last] as number;
  const besideFor_s = (over_m3s: number) => timeOver_s(state, from_s, over_m3s) + (after_m3s > over_m3s ? after_s : 0);
  windows_s.forEach((window_s, w) => {
    const peak_m3s = state.peaks[w]?.inflow_m3s ?? 0;
    noteUnseen(state.near[w] as NearPeak, window_s, peak_m3s, to_s - from_s, besideFor_s);
  });
  if (to_s - from_s >= (windows_s[windows_s.length - 1] as number)) {
    breakPeaks(state);
    return;
  }
  endNeighbours(state);
  addCorner(state, { ...unknown, time_s: to_s, volume_m3: from_m3 });
  state.unknownUpTo_s = to_s;
  for (let w = 0; w < windows_s.length; w += 1) searchNewWindows(state, w, from_s, to_s);
}

/** For how long more than so much came in, of late before `to_s`. */
function timeOver_s({ time_s, volume_m3, head }: PeaksState, to_s: number, over_m3s: number): number {
  let over_s = 0;
  const from_s = to_s - before_s;
  for (let i = time_s.length - 1; i > head && (time_s[i] as number) > from_s; i -= 1) {
    const length_s = (time_s[i] as number) - (time_s[i - 1] as number);
    if ((volume_m3[i] as number) - (volume_m3[i - 1] as number) > over_m3s * length_s)
      over_s += Math.min(length_s, (time_s[i] as number) - from_s);
  }
  return over_s;
}

/**
 * The cumulated inflow is a line between its corners, so the mean over a window is highest where one of the window's
 * ends stands on a corner: those that end within the new stretch are tried.
 */
function searchNewWindows(state: PeaksState, w: number, from_s: number, to_s: number): number {
  const { time_s, head } = state;
  const window_s = windows_s[w] ?? Number.NaN;
  const last = time_s.length - 1;
  const first = cornerAtOrAfter(state, to_s - window_s);
  let highest_m3s = tryWindow(state, w, to_s - window_s, first, last);
  for (let i = first; i >= head; i -= 1) {
    const start_s = time_s[i] ?? Number.NaN;
    if (start_s + window_s <= from_s) break;
    if (start_s + window_s < to_s) highest_m3s = Math.max(highest_m3s, tryWindow(state, w, start_s, i, last));
  }
  return highest_m3s;
}

/**
 * @param startCorner, endCorner the first corners at or after the window's beginning and its end
 * @returns the mean over the window
 */
function tryWindow(state: PeaksState, w: number, start_s: number, startCorner: number, endCorner: number): number {
  if (start_s < (state.time_s[state.head] ?? Number.POSITIVE_INFINITY)) return Number.NEGATIVE_INFINITY;
  const window_s = windows_s[w] ?? Number.NaN;
  const before_m3 = volumeAt(state, start_s, startCorner);
  const inflow_m3s = (volumeAt(state, start_s + window_s, endCorner) - before_m3) / window_s;
  state.newest_m3s[w] = Math.max(state.newest_m3s[w] ?? inflow_m3s, inflow_m3s);
  const best = state.peaks[w];
  const isLeast = start_s < state.unknownUpTo_s && isUnknownIn(state, start_s, start_s + window_s);
  if (!isLeast) noteClear(state, w, start_s, inflow_m3s);
  if (best && inflow_m3s <= best.inflow_m3s * timesHigher(isLeast, best)) return inflow_m3s;
  if (isLeast && !(inflow_m3s > 0)) return inflow_m3s;
  const uAlone_m3s = uncertaintyOver(state, start_s, start_s + window_s) / window_s;
  if (best && inflow_m3s - best.inflow_m3s > likeIt * uAlone_m3s) state.alike[w] = 0;
  state.uAlone_m3s[w] = uAlone_m3s;
  const peak = { inflow_m3s, uInflow_m3s: amongAlike(state, w), at_s: start_s + window_s / 2 };
  state.peaks[w] = isLeast ? { ...peak, isLeast } : peak;
  return inflow_m3s;
}

/** Of two windows of which little and much is known, the former is mostly the highest as measured: it is freed of noise first. */
function noteClear(state: PeaksState, w: number, start_s: number, inflow_m3s: number): void {
  const known_m3s = clear_m3s(state, w);
  if (!(inflow_m3s > known_m3s)) return;
  const window_s = windows_s[w] as number;
  const found = {
    inflow_m3s,
    uNoise_m3s: noiseOver(state, start_s, start_s + window_s) / window_s,
    at_s: start_s + window_s / 2,
  };
  if (clearOver_m3s(state, w, found) > known_m3s) state.clear[w] = found;
}

/**
 * The highest mean over window `w`, freed of noise. Some minute of ten brought as much as those ten on the average, and some
 * ten minutes of an hour as much as that hour, however little is known of when.
 *
 * @returns as unsure as the highest as measured, which may be it; that itself where not all of it is known
 */
export function peakOver(state: PeaksState, w: number): Peak | null {
  const own = ownPeak(state, w);
  const longer = own === null || w + 1 === windows_s.length ? null : peakOver(state, w + 1);
  if (own === null || longer === null || longer.inflow_m3s <= own.inflow_m3s) return own;
  // When within the longer window most of it came is no better known for that.
  const uInflow_m3s = Math.max(own.uInflow_m3s, longer.uInflow_m3s);
  return { ...longer, uInflow_m3s, ...(own.isLeast && { isLeast: true }) };
}

function ownPeak(state: PeaksState, w: number): Peak | null {
  const [measured = null, clear = null] = [state.peaks[w], state.clear[w]];
  if (measured === null || clear === null || measured.isLeast) return measured;
  const inflow_m3s = clear_m3s(state, w);
  return inflow_m3s < measured.inflow_m3s ? { ...measured, inflow_m3s, at_s: clear.at_s } : measured;
}

function clear_m3s(state: PeaksState, w: number): number {
  const clear = state.clear[w] ?? null;
  return clear === null ? Number.NEGATIVE_INFINITY : clearOver_m3s(state, w, clear);
}

/**
 * What of a minute stands clear of its noise over the ten minutes. Of longer windows nothing is taken off: their errors are
 * summed up as if all of an estimate were alike, and a storm's ten minutes would be those of its hour.
 */
function clearOver_m3s({ clear }: PeaksState, w: number, { inflow_m3s, uNoise_m3s }: ClearPeak): number {
  const tenMinutes = w === 0 ? (clear[1] ?? null) : null;
  return tenMinutes === null ? inflow_m3s : clearOfNoise(inflow_m3s, uNoise_m3s, tenMinutes.inflow_m3s);
}

function timesHigher(isLeast: boolean, best: Peak): number {
  if (isLeast === (best.isLeast === true)) return 1;
  return isLeast ? surely : 1 / surely;
}

function isUnknownIn({ time_s, estimate }: PeaksState, from_s: number, to_s: number): boolean {
  for (let i = time_s.length - 1; i > 0 && (time_s[i] as number) > from_s; i -= 1)
    if (estimate[i] === noEstimate && (time_s[i - 1] as number) < to_s) return true;
  return false;
}

/** The newest estimate is over: was its highest window as high as the peak, but for noise? */
function countAlike(state: PeaksState): void {
  for (let w = 0; w < windows_s.length; w += 1) {
    const best = state.peaks[w];
    const newest_m3s = state.newest_m3s[w] ?? Number.NEGATIVE_INFINITY;
    state.newest_m3s[w] = Number.NEGATIVE_INFINITY;
    if (!best || best.inflow_m3s - newest_m3s > likeIt * (state.uAlone_m3s[w] ?? 0)) continue;
    state.alike[w] = Math.min(mostAlike, (state.alike[w] ?? 0) + 1);
    state.peaks[w] = { ...best, uInflow_m3s: amongAlike(state, w) };
  }
}

/**
 * The highest of many alike is high by noise, too: of n independent normal errors the highest stays under z with the
 * probability Φ(z)ⁿ, and so 95 % of it lies as many times further off as the quantiles are.
 */
function amongAlike({ uAlone_m3s, alike }: PeaksState, w: number): number {
  const n = alike[w] ?? 0;
  return (uAlone_m3s[w] ?? 0) * (n > 1 ? normalQuantile(0.975 ** (1 / n)) / normalQuantile(0.975) : 1);
}
