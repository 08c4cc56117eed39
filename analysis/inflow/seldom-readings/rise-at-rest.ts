// What came in over a part of a rest, by its readings alone.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import { medianInPlace } from "../../statistics/median.ts";
import type { Mark } from "./over-stretch.ts";

const fewest = 4;
/** A median scatters so much more than a mean; normal values. */
const ofMedian = 1.2533;

/**
 * The middle of the slopes between readings half of them apart, so that a wrong level or two move nothing.
 *
 * @param noise_m3 standard deviation of a reading
 * @returns null where too few readings are known, or the pump ran
 */
export function riseAtRest(
  marks: readonly Mark[],
  from_s: number,
  to_s: number,
  noise_m3: number,
): FlowEstimate | null {
  const within = marks.filter(({ time_s }) => time_s >= from_s && time_s <= to_s);
  if (within.length < fewest || within.some(({ on }) => on !== false)) return null;
  const apart = within.length >> 1;
  const pairs = within.length - apart;
  const slopes_m3s = new Float64Array(pairs);
  let length_s = 0;
  for (let i = 0; i < pairs; i += 1) {
    const [a, b] = [within[i] as Mark, within[i + apart] as Mark];
    slopes_m3s[i] = (b.volume_m3 - a.volume_m3) / (b.time_s - a.time_s);
    length_s += b.time_s - a.time_s;
  }
  return {
    flow_m3s: medianInPlace(slopes_m3s),
    uFlow_m3s: (ofMedian * Math.SQRT2 * noise_m3 * Math.sqrt(pairs)) / length_s,
    degreesOfFreedom: pairs,
  };
}
