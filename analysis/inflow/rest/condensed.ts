// Samples gathered in blocks, so that what is tried many times over is tried on few.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { medianInPlace, medianOfFive } from "../../statistics/median.ts";
import { workplace } from "../../statistics/workplace.ts";

const single = 48;
const mostBlocks = 102;

/**
 * The same samples in at most some 150 blocks, single at first and longer later: enough to find τ, and quick. Good until
 * eight more have been asked for: to ask for memory costs more than to fill it.
 */
export function condensed(samples: CurveSamples): CurveSamples {
  const size = Math.max(1, Math.ceil((samples.count - single) / 100));
  if (size === 1) return samples;
  const { t, y, weight } = rooms[turn] as Room;
  turn = (turn + 1) % rooms.length;
  const short = { t, y, weight, count: 0 };
  gather(samples, 0, single, 1, short);
  gather(samples, single, samples.count, size, short);
  return short;
}

type Room = Pick<CurveSamples, "t" | "y" | "weight">;

const room = () => new Float64Array(single + mostBlocks);
const rooms: readonly Room[] = Array.from({ length: 8 }, () => ({ t: room(), y: room(), weight: room() }));
let turn = 0;

/** Puts the samples from `from` to `to` after those in `short`, in blocks of `size`; those without weight are left out. */
function gather(
  { t, y, weight }: CurveSamples,
  from: number,
  to: number,
  size: number,
  short: { t: Float64Array; y: Float64Array; weight: Float64Array; count: number },
): void {
  let count = short.count;
  for (let start = from; start < to; start += size) {
    const end = Math.min(to, start + size);
    let sum = 0;
    let sumT = 0;
    let sumY = 0;
    for (let i = start; i < end; i += 1) {
      const w = weight[i] as number;
      sum += w;
      sumT += w * (t[i] as number);
      sumY += w * (y[i] as number);
    }
    if (sum <= 0) continue;
    short.t[count] = sumT / sum;
    short.y[count] = sumY / sum;
    short.weight[count] = sum;
    count += 1;
  }
  short.count = count;
}

/** A course that fades in time hardly bends over so small a share of the time since it began. */
const ofTheTime = 0.1;
const sparseIn = workplace();

/**
 * The same samples in blocks that are longer the later they come: for courses that began at time 0, each of which moves the
 * less the longer it lasts. Good until the next are asked for.
 */
export function sparser({ t, y, weight, count }: CurveSamples): CurveSamples {
  const memory = sparseIn(3 * count);
  const sparse = {
    t: memory.subarray(0, count),
    y: memory.subarray(count, 2 * count),
    weight: memory.subarray(2 * count, 3 * count),
    count: 0,
  };
  for (let from = 0, to = 0; from < count; from = to) {
    const until_s = (1 + ofTheTime) * (t[from] as number);
    while (to < count && (to === from || (t[to] as number) < until_s)) to += 1;
    gather({ t, y, weight, count }, from, to, to - from, sparse);
  }
  return sparse;
}

const mediansIn = workplace();

/**
 * Medians of blocks of five samples or more, which single spikes do not move; the samples themselves when they are few.
 * Good until the next are asked for.
 */
export function blockMedians(samples: CurveSamples): CurveSamples {
  const { t, y, count } = samples;
  const size = Math.max(5, Math.ceil(count / 100));
  const blocks = Math.floor(count / size);
  if (blocks < 12) return samples;
  const memory = mediansIn(3 * blocks + size);
  const middle_s = memory.subarray(0, blocks);
  const median = memory.subarray(blocks, 2 * blocks);
  const block = memory.subarray(3 * blocks, 3 * blocks + size);
  for (let b = 0; b < blocks; b += 1) {
    let sum = 0;
    const from = b * size;
    for (let i = from; i < from + size; i += 1) sum += t[i] as number;
    middle_s[b] = sum / size;
    if (size === 5) {
      median[b] = medianOfFive(
        y[from] as number,
        y[from + 1] as number,
        y[from + 2] as number,
        y[from + 3] as number,
        y[from + 4] as number,
      );
      continue;
    }
    for (let i = 0; i < size; i += 1) block[i] = y[from + i] as number;
    median[b] = medianInPlace(block);
  }
  return { t: middle_s, y: median, weight: memory.subarray(2 * blocks, 3 * blocks).fill(1), count: blocks };
}

/** Readings that stand behind the samples. */
export function weightOf({ weight, count }: CurveSamples): number {
  // Two sums side by side, for neither waits for the other.
  let [even, odd] = [0, 0];
  let i = 1;
  for (; i < count; i += 2) {
    even += weight[i - 1] as number;
    odd += weight[i] as number;
  }
  return even + odd + (i === count ? (weight[count - 1] as number) : 0);
}
