// Samples gathered in blocks, so that what is tried many times over is tried on few.

import type { CurveSamples } from "../statistics/fit-curve.ts";
import { medianInPlace } from "../statistics/median.ts";

/** The same samples in at most some 150 blocks, single at first and longer later: enough to find τ, and quick. */
export function condensed(samples: CurveSamples): CurveSamples {
  const single = 48;
  const size = Math.max(1, Math.ceil((samples.count - single) / 100));
  if (size === 1) return samples;
  const t = new Float64Array(single + 102);
  const y = new Float64Array(single + 102);
  const weight = new Float64Array(single + 102);
  let count = 0;
  for (let i = 0; i < samples.count; ) {
    const end = i < single ? i + 1 : Math.min(samples.count, i + size);
    let sum = 0;
    let sumT = 0;
    let sumY = 0;
    for (; i < end; i += 1) {
      const w = samples.weight[i] ?? 0;
      sum += w;
      sumT += w * (samples.t[i] ?? 0);
      sumY += w * (samples.y[i] ?? 0);
    }
    if (sum <= 0) continue;
    t[count] = sumT / sum;
    y[count] = sumY / sum;
    weight[count] = sum;
    count += 1;
  }
  return { t, y, weight, count };
}

/** Medians of blocks of five samples or more, which single spikes do not move; the samples themselves when they are few. */
export function blockMedians(samples: CurveSamples): CurveSamples {
  const { t, y, count } = samples;
  const size = Math.max(5, Math.ceil(count / 100));
  const blocks = Math.floor(count / size);
  if (blocks < 12) return samples;
  const middle_s = new Float64Array(blocks);
  const median = new Float64Array(blocks);
  const block = new Float64Array(size);
  for (let b = 0; b < blocks; b += 1) {
    let sum = 0;
    for (let i = 0; i < size; i += 1) {
      block[i] = y[b * size + i] as number;
      sum += t[b * size + i] as number;
    }
    middle_s[b] = sum / size;
    median[b] = medianInPlace(block);
  }
  return { t: middle_s, y: median, weight: new Float64Array(blocks).fill(1), count: blocks };
}

/** Readings that stand behind the samples. */
export function weightOf({ weight, count }: CurveSamples): number {
  let sum = 0;
  for (let i = 0; i < count; i += 1) sum += weight[i] as number;
  return sum;
}
