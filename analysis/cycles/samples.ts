// The level samples of one rest or run, as volumes against time, in bounded memory: the first and the last ones singly,
// those between averaged in blocks that double as the stretch grows.

import type { CurveSamples } from "../statistics/fit-curve.ts";

const capacity = 2048;
/** Samples that stay single: what happens right after a switch (water that returns, spin-up) happens here. */
const headLength = 512;
/** … and these at the end: what pours in and makes the pump start, or a storm that breaks. A power of two. */
const tailLength = 64;
/** Fewer than these may agree by chance. */
const fewestToStand = 10;

export interface SamplesState {
  origin_s: number;
  count: number;
  blockSize: number;
  readonly t: Float64Array;
  readonly y: Float64Array;
  readonly weight: Float64Array;
  /** The block being filled. */
  openCount: number;
  openT: number;
  openY: number;
  /** The newest, once there are blocks, around the ends of the arrays. */
  readonly tailT: Float64Array;
  readonly tailY: Float64Array;
  tailFirst: number;
  tailCount: number;
  /** How many of the samples that the fits take are of these. */
  singleAtEnd: number;
  /** Newest time taken. */
  last_s: number;
  /** Samples taken in all. */
  taken: number;
}

export function emptySamples(): SamplesState {
  const samples: SamplesState = {
    origin_s: Number.NaN,
    count: 0,
    blockSize: 1,
    t: new Float64Array(capacity),
    y: new Float64Array(capacity),
    weight: new Float64Array(capacity),
    openCount: 0,
    // What begins as a whole number and becomes a fraction after days makes V8 compile anew whatever takes samples.
    openT: Number.NaN,
    openY: Number.NaN,
    tailT: new Float64Array(tailLength),
    tailY: new Float64Array(tailLength),
    tailFirst: 0,
    tailCount: 0,
    singleAtEnd: 0,
    last_s: Number.NaN,
    taken: 0,
  };
  restartSamples(samples, Number.NaN);
  return samples;
}

/** Forgets all samples; times count from `origin_s` on. */
export function restartSamples(samples: SamplesState, origin_s: number): void {
  samples.origin_s = origin_s;
  samples.count = 0;
  samples.blockSize = 1;
  samples.openCount = 0;
  samples.openT = 0;
  samples.openY = 0;
  samples.tailFirst = 0;
  samples.tailCount = 0;
  samples.singleAtEnd = 0;
  samples.last_s = Number.NaN;
  samples.taken = 0;
}

/** Forgets those later than `time_s`; of a block, by its middle. */
export function forgetAfter(samples: SamplesState, time_s: number): void {
  if (!(samples.last_s > time_s)) return;
  const { t, weight } = gathered(samples);
  const until = time_s - samples.origin_s;
  while (samples.count > 0 && (t[samples.count - 1] as number) > until) {
    samples.count -= 1;
    samples.taken -= weight[samples.count] as number;
    samples.singleAtEnd = Math.max(0, samples.singleAtEnd - 1);
  }
  // Those of the beginning are single ones, and so are those that follow.
  if (samples.count <= headLength) samples.blockSize = 1;
  samples.last_s = samples.count === 0 ? Number.NaN : samples.origin_s + (t[samples.count - 1] as number);
}

export function addSample(samples: SamplesState, time_s: number, volume_m3: number): void {
  samples.last_s = time_s;
  samples.taken += 1;
  const t = time_s - samples.origin_s;
  if (samples.blockSize === 1) {
    put(samples, t, volume_m3, 1);
    return;
  }
  const { tailT, tailY, tailFirst } = samples;
  if (samples.tailCount === tailLength) {
    addToBlock(samples, tailT[tailFirst] as number, tailY[tailFirst] as number);
    samples.tailFirst = (tailFirst + 1) & (tailLength - 1);
  } else samples.tailCount += 1;
  const place = (samples.tailFirst + samples.tailCount - 1) & (tailLength - 1);
  tailT[place] = t;
  tailY[place] = volume_m3;
}

/** How many stay single at the beginning and at the end, as `volumeCourse` takes it. */
export function singlesOf({ singleAtEnd }: SamplesState): { readonly first: number; readonly last: number } {
  return { first: headLength, last: singleAtEnd };
}

/** How many readings stand behind the samples: of those that are single, what a sensor only said again is left out. */
export function readingsOf({ blockSize, count, taken }: SamplesState): number {
  return blockSize === 1 ? count : taken;
}

function addToBlock(samples: SamplesState, t: number, y: number): void {
  samples.openT += t;
  samples.openY += y;
  samples.openCount += 1;
  if (samples.openCount === samples.blockSize) closeBlock(samples);
}

/** Takes many, one after the other. */
export function addSamples(samples: SamplesState, time_s: Float64Array, volume_m3: Float64Array, count: number): void {
  const { t, y, weight, origin_s } = samples;
  const singly = samples.blockSize === 1 ? Math.min(count, capacity - samples.count) : 0;
  for (let i = 0; i < singly; i += 1) {
    const place = samples.count + i;
    t[place] = (time_s[i] as number) - origin_s;
    y[place] = volume_m3[i] as number;
    weight[place] = 1;
  }
  samples.count += singly;
  samples.taken += singly;
  if (singly > 0) samples.last_s = time_s[singly - 1] as number;
  for (let i = singly; i < count; i += 1) addSample(samples, time_s[i] as number, volume_m3[i] as number);
}

/** The samples as the fits take them, an unfinished block included; shares the arrays, so use it at once. */
export function curveSamples(samples: SamplesState): CurveSamples {
  return gathered(samples);
}

/** The same, to be changed at the end of the rest or run. */
export function gathered(samples: SamplesState): SamplesState {
  if (samples.openCount > 0) closeBlock(samples);
  if (samples.tailCount > 0) putTail(samples);
  return samples;
}

function putTail(samples: SamplesState): void {
  const { tailT, tailY, tailFirst, tailCount } = samples;
  if (samples.count + tailCount > capacity) mergePairs(samples);
  for (let i = 0; i < tailCount; i += 1) {
    const place = (tailFirst + i) & (tailLength - 1);
    put(samples, tailT[place] as number, tailY[place] as number, 1);
  }
  samples.tailCount = 0;
  samples.singleAtEnd = tailCount;
}

/** All of them the same to the digit: water that lifted a float has risen, so that such a sensor is stuck. */
export function stood({ y, count }: SamplesState): boolean {
  if (count < fewestToStand) return false;
  for (let i = 1; i < count; i += 1) if (y[i] !== y[0]) return false;
  return true;
}

function closeBlock(samples: SamplesState): void {
  const n = samples.openCount;
  put(samples, samples.openT / n, samples.openY / n, n);
  samples.openCount = 0;
  samples.openT = 0;
  samples.openY = 0;
}

function put(samples: SamplesState, t: number, y: number, weight: number): void {
  if (samples.count === capacity) mergePairs(samples);
  samples.t[samples.count] = t;
  samples.y[samples.count] = y;
  samples.weight[samples.count] = weight;
  samples.count += 1;
}

function mergePairs(samples: SamplesState): void {
  const { t, y, weight } = samples;
  let to = headLength;
  for (let i = headLength; i < samples.count; i += 2) {
    const wa = weight[i] ?? 0;
    const wb = i + 1 < samples.count ? (weight[i + 1] ?? 0) : 0;
    const sum = wa + wb;
    t[to] = ((t[i] ?? 0) * wa + (t[i + 1] ?? 0) * wb) / sum;
    y[to] = ((y[i] ?? 0) * wa + (y[i + 1] ?? 0) * wb) / sum;
    weight[to] = sum;
    to += 1;
  }
  samples.count = to;
  samples.blockSize *= 2;
}
