// Water that is back within seconds or a minute of a stop, where readings are too far apart to see it come: now and then one
// falls just before or after a stop, and shows the water far lower than the line of the rest goes back to.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { fitLine } from "../../statistics/fit-line.ts";

/** Of one rest: where its line stood at the stop, and by how much the lowest reading about the stop lies under that, surely. */
export interface RestBeginning {
  readonly line_m3: number;
  readonly under_m3: number;
}

export interface SeldomReturnState {
  /** Of the latest rests, oldest first. */
  readonly rests: RestBeginning[];
}

export function newSeldomReturn(): SeldomReturnState {
  return { rests: [] };
}

/** More than a closing valve lets through; common practice, no source. */
const more_m3 = 0.002;
/** By then it is back, and then the line is seen for so long. */
export const back_s = 45;
const intervalsUntilBack = 2;
const seen_s = 300;
const fewestSeen = 6;
const mostSeen = 10;
const surely = 2;
/** A pump that stops where its float lets it leaves no less water than this under that. */
const underStop_m3 = 1e-3;

/**
 * @param samples  of the rest, in m³ against seconds since the stop, as they were read
 * @param last_m3  the last reading of the run; null where there is none
 * @param stop_m3  stored volume at which the pump's float stops it
 * @returns null where too few readings show the line
 */
export function beginningOfRest(
  { t, y, count }: CurveSamples,
  last_m3: number | null,
  stop_m3: number,
  interval_s: number,
): RestBeginning | null {
  const from_s = Math.max(back_s, intervalsUntilBack * interval_s);
  const to_s = from_s + Math.max(seen_s, mostSeen * interval_s);
  let [first, end] = [0, 0];
  while (first < count && (t[first] as number) < from_s) first += 1;
  for (end = first; end < count && (t[end] as number) <= to_s; ) end += 1;
  if (end - first < fewestSeen) return null;
  if (!((t[end - 1] as number) > (t[first] as number))) return null;
  const { intercept: line_m3, slope } = fitLine(t.subarray(first, end), y.subarray(first, end));
  let squares = 0;
  for (let i = first; i < end; i += 1) squares += ((y[i] as number) - line_m3 - slope * (t[i] as number)) ** 2;
  const sd_m3 = Math.sqrt(squares / (end - first - 2));
  let lowest_m3 = last_m3 ?? Number.POSITIVE_INFINITY;
  for (let i = 0; i < first; i += 1) lowest_m3 = Math.min(lowest_m3, y[i] as number);
  const stood = lowest_m3 >= stop_m3 - underStop_m3;
  return { line_m3, under_m3: stood ? line_m3 - lowest_m3 - surely * sd_m3 : 0 };
}

export const remembered = 40;
export const latest = 12;
/** Rests of one leak begin at one volume, and so many of them show it. */
export const fewestShow = 3;
const mostSpread = 0.3;
const likeIt = 0.15;
const likeIt_m3 = 0.7e-3;
/** None shows much more than the others. */
const farMore = 1.6;

export function rememberBeginning({ rests }: SeldomReturnState, of: RestBeginning): void {
  rests.push(of);
  if (rests.length > remembered) rests.shift();
}

/** Whether more comes back between readings than a closing valve lets through. */
export function leaksBetween(state: SeldomReturnState): boolean {
  return seldomReturn_m3(state) > more_m3;
}

/** No less than this comes back after every stop, m³; 0 where nothing shows it. */
export function seldomReturn_m3({ rests }: SeldomReturnState): number {
  if (rests.length < latest) return 0;
  const lines = rests
    .slice(-latest)
    .map(({ line_m3 }) => line_m3)
    .sort((a, b) => a - b);
  const quarter = latest >> 2;
  const middle_m3 = lines[latest >> 1] as number;
  const spread_m3 = (lines[latest - 1 - quarter] as number) - (lines[quarter] as number);
  const show = rests
    .filter(({ line_m3, under_m3 }) => Math.abs(line_m3 - middle_m3) < Math.max(likeIt_m3, likeIt * under_m3))
    .map(({ under_m3 }) => under_m3)
    .sort((a, b) => b - a);
  const least_m3 = show[fewestShow - 1] ?? 0;
  return spread_m3 < mostSpread * least_m3 && (show[0] ?? 0) < farMore * least_m3 ? least_m3 : 0;
}
