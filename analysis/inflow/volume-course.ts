// The samples of a rest or a run in blocks, few enough to keep and close enough to follow a storm.

import type { CurveSamples } from "../statistics/fit-curve.ts";

export interface VolumeCourse {
  /** Seconds since the rest or run began, volumes in m³, and how many readings each stands for. */
  readonly t: Float64Array;
  readonly y: Float64Array;
  readonly n: Float64Array;
  readonly count: number;
}

const most = 480;
/** In a block of three or more readings the one in the middle says whether the others are spikes. */
const telling = 5;

/**
 * @param samples    in order of time; weights are not looked at, for what a curve took for spikes may be a storm
 * @param singles    how many of them, from the first on, are single readings
 * @param blockSize  readings that stand behind each of the others
 */
export function volumeCourse(samples: CurveSamples, singles: number, blockSize: number): VolumeCourse {
  const size = Math.max(1, Math.ceil(samples.count / most));
  const count = Math.ceil(samples.count / size);
  const t = new Float64Array(count);
  const y = new Float64Array(count);
  const n = new Float64Array(count);
  for (let b = 0; b < count; b += 1) {
    const start = b * size;
    const end = Math.min(samples.count, start + size);
    let [sumT, sumY, readings] = [0, 0, 0];
    for (let i = start; i < end; i += 1) {
      sumT += samples.t[i] as number;
      sumY += despiked(samples, i);
      readings += i < singles ? 1 : blockSize;
    }
    t[b] = sumT / (end - start);
    y[b] = sumY / (end - start);
    n[b] = readings;
  }
  return { t, y, n, count };
}

/** A reading far off both its neighbours, on the same side, is taken as their mean. */
function despiked({ y, count }: CurveSamples, i: number): number {
  const here = y[i] as number;
  if (i === 0 || i === count - 1) return here;
  const before = y[i - 1] as number;
  const after = y[i + 1] as number;
  const off = Math.min(Math.abs(here - before), Math.abs(here - after));
  const lone = (here - before) * (here - after) > 0 && off > telling * Math.abs(after - before);
  return lone && off > spike_m3 ? (before + after) / 2 : here;
}

/** A spike is more than a reading's noise: a litre or two in any basin. */
const spike_m3 = 2e-3;
