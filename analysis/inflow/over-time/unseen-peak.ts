// Whether the highest inflow may have come unseen: it was about as high as ever beside a time of which nothing is known, and
// has been so high for little longer than that.

/** What is kept beside each peak. */
export interface NearPeak {
  /** The peak that `near_s` and `hidden_s` go by. */
  peak_m3s: number;
  /** Time for which the inflow was known to be about as high. */
  near_s: number;
  /** Times of which nothing is known, as far as it was as high beside them for as long; the lowest first. */
  hidden: HiddenTime[];
}

interface HiddenTime {
  readonly length_s: number;
  /** Beside it more than that came in for half as long or longer. */
  readonly beside_m3s: number;
}

export function newNearPeak(): NearPeak {
  return { peak_m3s: 0, near_s: 0, hidden: [] };
}

/** About as high as the peak is what is at least such a part of it. Judgement, no source, as the shares below. */
export const about = 0.7;
/** A shorter time unseen than such a part of a window changes little in its mean. */
const ofWindow = 0.1;
/** So many times of which nothing is known are kept apart: those beside the least are taken together. */
const mostHidden = 16;
/** The peak is known by what was seen of such inflow unless this much more of it was not. */
const muchUnseen = 0.1;
/** Inflow that is as high for a greater part of all time is what always comes in: a gap hides no storm then. */
const ofAllTime = 0.4;

/** Takes in that the mean over windows that end in the latest `length_s` was as high as `highest_m3s`. */
export function noteSeen(near: NearPeak, peak_m3s: number, highest_m3s: number, length_s: number): void {
  keepTo(near, peak_m3s);
  if (highest_m3s > about * peak_m3s) near.near_s += length_s;
}

/**
 * Takes in a time of which nothing is known.
 *
 * @param besideFor_s for how long more than so much came in, shortly before and after
 */
export function noteUnseen(
  near: NearPeak,
  window_s: number,
  peak_m3s: number,
  length_s: number,
  besideFor_s: (over_m3s: number) => number,
): void {
  keepTo(near, peak_m3s);
  if (!(length_s > ofWindow * window_s)) return;
  const hidden_s = Math.min(length_s, besideFor_s(about * peak_m3s));
  if (!(hidden_s > 0)) return;
  let beside_m3s = about * peak_m3s;
  while (beside_m3s > 0 && besideFor_s(beside_m3s / about) >= hidden_s / 2) beside_m3s /= about;
  near.hidden.push({ length_s: hidden_s, beside_m3s });
  near.hidden.sort((a, b) => a.beside_m3s - b.beside_m3s);
  const [lowest, next] = near.hidden;
  if (near.hidden.length <= mostHidden || lowest === undefined || next === undefined) return;
  near.hidden.splice(0, 2, { ...lowest, length_s: lowest.length_s + next.length_s });
}

/** @param known_s all time of which the inflow is known */
export function mayBeUnseen({ near_s, hidden }: NearPeak, known_s: number): boolean {
  const hidden_s = hidden.reduce((sum, { length_s }) => sum + length_s, 0);
  return hidden_s > muchUnseen * near_s && near_s < ofAllTime * known_s;
}

/** What was near another peak is not near this one; a storm of which the middle is unknown may yet be near one that is higher. */
function keepTo(near: NearPeak, peak_m3s: number): void {
  if (peak_m3s * about <= near.peak_m3s && near.peak_m3s * about <= peak_m3s) return;
  const hidden = peak_m3s < near.peak_m3s ? [] : near.hidden.filter(({ beside_m3s }) => beside_m3s >= about * peak_m3s);
  Object.assign(near, { peak_m3s, near_s: 0, hidden });
}
