// The cumulated inflow as a line from corner to corner, no longer back than the longest window, and how well the volume
// between any two times is known.

import { rootOfSquares } from "../../statistics/root-of-squares.ts";

export interface Corners {
  time_s: number[];
  volume_m3: number[];
  /** Standard uncertainty of the inflow of the stretch that ends at each corner, by noise. */
  u_m3s: number[];
  /** … and by what is off for other reasons, so that it stands in no window more than in those like it by chance. */
  uNotNoise_m3s: number[];
  /** … and of the volume that its estimate has brought up to the corner; Infinity: no better known than by that of its stretches. */
  uUpTo_m3: number[];
  /** Which estimate it came from. */
  estimate: number[];
  head: number;
}

export interface Corner {
  readonly time_s: number;
  readonly volume_m3: number;
  readonly u_m3s: number;
  readonly uNotNoise_m3s: number;
  readonly uUpTo_m3: number;
  readonly estimate: number;
}

export function noCorners(): Corners {
  return { time_s: [], volume_m3: [], u_m3s: [], uNotNoise_m3s: [], uUpTo_m3: [], estimate: [], head: 0 };
}

/** Those that are not forgotten, to be carried on by themselves. */
export function cornersOf(corners: Corners): Corners {
  const kept = <T>(column: readonly T[]) => column.slice(corners.head);
  return {
    time_s: kept(corners.time_s),
    volume_m3: kept(corners.volume_m3),
    u_m3s: kept(corners.u_m3s),
    uNotNoise_m3s: kept(corners.uNotNoise_m3s),
    uUpTo_m3: kept(corners.uUpTo_m3),
    estimate: kept(corners.estimate),
    head: 0,
  };
}

export function addCorner(corners: Corners, corner: Corner): void {
  corners.time_s.push(corner.time_s);
  corners.volume_m3.push(corner.volume_m3);
  corners.u_m3s.push(corner.u_m3s);
  corners.uNotNoise_m3s.push(corner.uNotNoise_m3s);
  corners.uUpTo_m3.push(corner.uUpTo_m3);
  corners.estimate.push(corner.estimate);
}

/** But for the newest before it: a window may begin between that and the next. */
export function forgetCornersBefore(corners: Corners, time_s: number): void {
  while (corners.head + 1 < corners.time_s.length && (corners.time_s[corners.head + 1] ?? 0) < time_s) {
    corners.head += 1;
  }
  if (corners.head > 128) {
    const { time_s: times_s, volume_m3, u_m3s, uNotNoise_m3s, uUpTo_m3, estimate } = corners;
    for (const column of [times_s, volume_m3, u_m3s, uNotNoise_m3s, uUpTo_m3, estimate]) column.splice(0, corners.head);
    corners.head = 0;
  }
}

export function cornerAtOrAfter({ time_s, head }: Corners, at_s: number): number {
  let low = head;
  let high = time_s.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((time_s[middle] as number) < at_s) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** @param corner the first at or after that time */
export function volumeAt({ time_s, volume_m3, head }: Corners, at_s: number, corner: number): number {
  const t1 = time_s[corner] ?? 0;
  const v1 = volume_m3[corner] ?? 0;
  if (corner === head || t1 === at_s) return v1;
  const t0 = time_s[corner - 1] ?? 0;
  const v0 = volume_m3[corner - 1] ?? 0;
  return v0 + ((v1 - v0) * (at_s - t0)) / (t1 - t0);
}

/**
 * Standard uncertainty of the volume between two times. When within an estimate its water came in may be far less sure
 * than how much: a bucket that is in the window as a whole is as sure as the levels before and after it.
 */
export function uncertaintyOver(corners: Corners, from_s: number, to_s: number): number {
  const { u_m3s, uNotNoise_m3s } = corners;
  return uOver(corners, from_s, to_s, (i) => rootOfSquares(u_m3s[i] as number, uNotNoise_m3s[i] as number));
}

/** What of it is noise: the highest of many windows is high by that. */
export function noiseOver(corners: Corners, from_s: number, to_s: number): number {
  return uOver(corners, from_s, to_s, (i) => corners.u_m3s[i] as number);
}

/** @param uInflow_m3s of the stretch that ends at a corner */
function uOver(corners: Corners, from_s: number, to_s: number, uInflow_m3s: (corner: number) => number): number {
  const { time_s, estimate } = corners;
  let variance = 0;
  let i = cornerAtOrAfter(corners, from_s);
  while (i < time_s.length && (time_s[i - 1] ?? from_s) < to_s) {
    const of = estimate[i];
    const start_m3 = uUpToAt(corners, i, from_s);
    let end_m3 = 0;
    let sum_m3 = 0;
    for (; i < time_s.length && estimate[i] === of && (time_s[i - 1] ?? from_s) < to_s; i += 1) {
      const end_s = Math.min(to_s, time_s[i] as number);
      sum_m3 += uInflow_m3s(i) * Math.max(0, end_s - Math.max(from_s, time_s[i - 1] ?? from_s));
      end_m3 = uUpToAt(corners, i, end_s);
    }
    variance += Math.min(sum_m3 ** 2, start_m3 ** 2 + end_m3 ** 2);
  }
  return Math.sqrt(variance);
}

/** @param corner that the stretch in which that time lies ends at */
function uUpToAt({ time_s, uUpTo_m3, estimate }: Corners, corner: number, at_s: number): number {
  const begins = corner === 0 || estimate[corner - 1] !== estimate[corner];
  const [before_m3, after_m3] = [begins ? 0 : (uUpTo_m3[corner - 1] as number), uUpTo_m3[corner] as number];
  const from_s = time_s[corner - 1] ?? at_s;
  if (!(at_s > from_s)) return before_m3;
  if (!Number.isFinite(before_m3 + after_m3)) return Number.POSITIVE_INFINITY;
  return before_m3 + (after_m3 - before_m3) * Math.min(1, (at_s - from_s) / ((time_s[corner] as number) - from_s));
}

/**
 * How far off what came in up to the end of one of equal parts may be because of when it came: where it comes faster in the
 * next, or slower, it began to anywhere in half a part before or after (uniform: GUM 4.3.7).
 */
export function uWhenTurns_m3(flow_m3s: number, next_m3s: number, length_s: number): number {
  return (Math.abs(next_m3s - flow_m3s) * length_s) / Math.sqrt(12);
}
