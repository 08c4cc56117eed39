// How far one reading of a rest lies off its course by noise, told by the readings beside it: by the median of the second
// differences, which no steady rise, no step and no spike is in.

import type { CurveSamples } from "../statistics/fit-curve.ts";
import { medianInPlace } from "../statistics/median.ts";
import { workplace } from "../statistics/workplace.ts";

export interface Scatter {
  /** Standard deviation of a sample, whatever its weight, and of a single reading. */
  readonly sample_m3: number;
  readonly reading_m3: number;
}

/** Median of |error| against the standard deviation, for normal errors. */
const perMedian = 1.4826;

const bendsIn = workplace();

/** @param samples in order of time; a sample's weight is how many readings it is the mean of */
export function scatterOf({ y, weight, count }: CurveSamples): Scatter {
  const ofSample = () => 6;
  const ofReading = (i: number) => {
    const share = (k: number) => 1 / (weight[k] as number);
    return share(i - 1) + 4 * share(i) + share(i + 1);
  };
  const by = (variances: (i: number) => number) => {
    const bends = bendsIn(count);
    let used = 0;
    for (let i = 1; i < count - 1; i += 1) {
      const bend_m3 = (y[i - 1] as number) - 2 * (y[i] as number) + (y[i + 1] as number);
      const variance = variances(i);
      if (!(variance < Number.POSITIVE_INFINITY)) continue;
      bends[used] = Math.abs(bend_m3) / Math.sqrt(variance);
      used += 1;
    }
    return used === 0 ? 0 : perMedian * medianInPlace(bends, used);
  };
  return { sample_m3: by(ofSample), reading_m3: by(ofReading) };
}

/** Of sample `i`: means of many readings scatter by less, but by no less than their neighbours show. */
export function scatterAt_m3({ sample_m3, reading_m3 }: Scatter, { weight }: CurveSamples, i: number): number {
  const w = weight[i] as number;
  return w > 0 ? Math.max(sample_m3, reading_m3 / Math.sqrt(w)) : sample_m3;
}
