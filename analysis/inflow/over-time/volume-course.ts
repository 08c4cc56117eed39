// The samples of a rest or a run in blocks, few enough to keep and close enough to follow a storm.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { medianOfThree } from "../../statistics/median.ts";
import { workplace } from "../../statistics/workplace.ts";

export interface VolumeCourse {
  /** Seconds since the rest or run began, volumes in m³, and how many readings each stands for. */
  readonly t: Float64Array;
  readonly y: Float64Array;
  readonly n: Float64Array;
  readonly count: number;
}

export const mostInCourse = 480;
/** A spike is so many times as far off both its neighbours as they are apart … */
const telling = 5;
/** … and less where the pump's work is put back: that volume never sinks, so that one beyond both of them is wrong in any case. */
const tellingPutBack = 2;

/**
 * @param samples    in order of time; weights are not looked at, for what a curve took for spikes may be a storm
 * @param singles    how many of them, from the first on and up to the last, are single readings
 * @param blockSize  readings that stand behind each of the others
 * @param room       memory for three columns of `mostInCourse`, where the course is not kept
 */
export function volumeCourse(
  samples: CurveSamples,
  singles: { readonly first: number; readonly last: number },
  blockSize: number,
  room: readonly [Float64Array, Float64Array, Float64Array] | null = null,
): VolumeCourse {
  const size = Math.max(1, Math.ceil(samples.count / mostInCourse));
  const count = Math.ceil(samples.count / size);
  const [t, y, n] = room ?? columns(count);
  const clean = despiked(samples);
  if (size === 1) {
    t.set(samples.t.subarray(0, count));
    y.set(clean.subarray(0, count));
    n.fill(1, 0, count).fill(blockSize, Math.min(singles.first, count), Math.max(0, count - singles.last));
    return { t, y, n, count };
  }
  for (let b = 0; b < count; b += 1) {
    const start = b * size;
    const end = Math.min(samples.count, start + size);
    let sumT = 0;
    let sumY = 0;
    for (let i = start; i < end; i += 1) {
      sumT += samples.t[i] as number;
      sumY += clean[i] as number;
    }
    const blocks = Math.min(end, samples.count - singles.last) - Math.max(start, singles.first);
    const alone = end - start - Math.max(0, blocks);
    t[b] = sumT / (end - start);
    y[b] = sumY / (end - start);
    n[b] = alone + (end - start - alone) * blockSize;
  }
  return { t, y, n, count };
}

/** In one piece: to ask for memory costs more than to fill it. */
function columns(count: number): [Float64Array, Float64Array, Float64Array] {
  const all = new Float64Array(3 * count);
  return [all.subarray(0, count), all.subarray(count, 2 * count), all.subarray(2 * count)];
}

const withoutSpikes = workplace();

/** A reading far off both its neighbours, on the same side, is taken as their mean. What stood there is of no use. */
function despiked({ y, count }: CurveSamples): Float64Array {
  const clean = withoutSpikes(count);
  let before = y[0] as number;
  let here = before;
  for (let i = 0; i < count; i += 1) {
    const after = i + 1 < count ? (y[i + 1] as number) : here;
    // The first and the last have one neighbour, and are as far off the other as off themselves.
    clean[i] = isLone(before, here, after, telling) ? (before + after) / 2 : here;
    before = here;
    here = after;
  }
  return clean;
}

function isLone(before: number, here: number, after: number, times: number): boolean {
  const up = here - before;
  const down = here - after;
  const far = Math.abs(up) > spike_m3 && Math.abs(down) > spike_m3;
  return far && up * down > 0 && Math.min(Math.abs(up), Math.abs(down)) > times * Math.abs(after - before);
}

/** Whether one of these volumes, neither the first nor the last, is a spike: a run hides one until its fall is put back. */
export function standsAlone(putBack_m3: ArrayLike<number>, i: number): boolean {
  return isLone(putBack_m3[i - 1] as number, putBack_m3[i] as number, putBack_m3[i + 1] as number, tellingPutBack);
}

/** Of the middle ones of three in a row each: a spike is no top. */
export function highestOf({ t, y, count }: VolumeCourse): { readonly top_s: number; readonly top_m3: number } {
  let [top_s, top_m3] = [0, Number.NEGATIVE_INFINITY];
  for (let i = 1; i + 1 < count; i += 1) {
    const middle_m3 = medianOfThree(y[i - 1] as number, y[i] as number, y[i + 1] as number);
    if (middle_m3 > top_m3) [top_s, top_m3] = [t[i] as number, middle_m3];
  }
  return { top_s, top_m3 };
}

/** A spike is more than a reading's noise: a litre or two in any basin. */
const spike_m3 = 2e-3;
