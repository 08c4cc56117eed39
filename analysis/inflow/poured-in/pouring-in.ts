// Water that pours in for seconds or a minute, as a washing machine drains or a storm breaks, just as a rest ends or still
// as it begins: what comes quickly makes the pump start, so it is there more often than chance would have it.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { medianInPlace } from "../../statistics/median.ts";
import type { LeakingBack } from "../rest/shaped-curve.ts";
import type { VolumeCurve } from "../rest/volume-curve.ts";

const calmParts = 6;
/** Water that pours in until the pump starts, and most likely beyond: many times what its calmest part brings. */
const pours = 3;
const surelyPours = 5;
const fewestPouring = 4;
const longestPouring_s = 30;

/** Whether it still came in when the rest ended at `end_s`, and so will go on into the run, and maybe into the next rest. */
export function poursAtEnd(curve: VolumeCurve, { t, count }: CurveSamples, end_s: number): boolean {
  const from_s = t[0] ?? 0;
  const part_s = (end_s - from_s) / calmParts;
  // Of one smooth curve two values tell a slope; its uncertainty is asked for where it matters.
  const slope = (from: number, to: number) =>
    curve.breaks === undefined
      ? (curve.valueAt(to) - curve.valueAt(from)) / (to - from)
      : curve.meanSlope(from, to).slope;
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0; k < calmParts; k += 1) {
    least = Math.min(least, slope(from_s + k * part_s, from_s + (k + 1) * part_s));
  }
  for (let i = count - fewestPouring; i > count >> 1; i -= fewestPouring) {
    const last_s = t[i] ?? 0;
    const more = slope(last_s, end_s) - least;
    const pouring = more > (pours - 1) * Math.abs(least);
    if (pouring && more > surelyPours * Math.sqrt(curve.meanSlope(last_s, end_s).variance)) return true;
    if (end_s - last_s > longestPouring_s) return false;
  }
  return false;
}

/** A sample may be a spike, so that the middle one of so many stands for an end. */
const atEnd = 3;

/**
 * Whether much more came in as the rest before ended than this one brings on the whole: it may have gone on into this one and
 * ended then, which looks like water that runs back.
 */
export function pouredBefore(
  { flow_m3s, uFlow_m3s }: Pick<FlowEstimate, "flow_m3s" | "uFlow_m3s">,
  { t, y, count }: CurveSamples,
): boolean {
  if (count < 2 * atEnd) return false;
  const rose_m3 = medianInPlace(y.slice(count - atEnd, count)) - medianInPlace(y.slice(0, atEnd));
  const brought_m3s = rose_m3 / ((t[count - 1] as number) - (t[0] as number));
  return flow_m3s - 2 * uFlow_m3s > pours * Math.max(0, brought_m3s);
}

/** So many samples at an end, and so many standard deviations of their sum off the curve; ripples are over by then. */
const farthestIn = 64;
const fewestOff = 2;
/** A leak known so well hides nothing that pours in. */
const littleLeak_m3 = 0.5e-3;
const fewestOffAtStop = 12;
const clearlyOff = 6;

/**
 * Whether a curve that follows the many samples misses the few of water that pours in as the rest ends, or still as it
 * begins: all over the curve there, all under it here. At the beginning only where no water is known to leak back, which
 * looks the same.
 *
 * @param variance of a sample of weight 1, times what its likeness to its neighbours makes of it
 * @param pouring  whether the rest before ended so
 */
export function missesEnds(
  samples: CurveSamples,
  curve: VolumeCurve,
  leak: LeakingBack | null,
  variance: number,
  pouring: boolean,
): boolean {
  if (addsUp(samples, curve, leak, variance, "end", fewestOff)) return true;
  if (leak !== null && !(leak.uVolume_m3 < littleLeak_m3)) return false;
  return addsUp(samples, curve, leak, variance, "beginning", pouring ? fewestOff : fewestOffAtStop);
}

/** Whether the samples from one end on, `fewest` of them or more, lie clearly over the curve there, or under it here. */
function addsUp(
  { t, y, weight, count }: CurveSamples,
  curve: VolumeCurve,
  leak: LeakingBack | null,
  variance: number,
  end: "beginning" | "end",
  fewest: number,
): boolean {
  const within = Math.min(farthestIn, count >> 2);
  const clear = clearlyOff ** 2 * variance;
  let sum = 0;
  let weights = 0;
  for (let k = 1; k <= within; k += 1) {
    const i = end === "end" ? count - k : k - 1;
    const at = t[i] as number;
    const leaking_m3 = leak === null ? 0 : curve.leaking_m3 * leak.stillOut(at);
    const off_m3 = (y[i] as number) - curve.valueAt(at) + leaking_m3;
    const w = weight[i] as number;
    sum += end === "end" ? w * off_m3 : -w * off_m3;
    weights += w;
    if (k >= fewest && sum > 0 && sum * sum > clear * weights) return true;
  }
  return false;
}
