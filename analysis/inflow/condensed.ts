// Samples gathered in blocks, so that what is tried many times over is tried on few.

import type { CurveSamples } from "../statistics/fit-curve.ts";

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
