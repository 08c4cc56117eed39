// When a coarse level sensor changed from each of its steps to the next: where noise does not blur the steps, these moments
// are all that it tells of a rest, and far more than a step's width by itself.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { workplace } from "../../statistics/workplace.ts";
import { weightOf } from "./condensed.ts";

/** A sensor that scatters by more of its steps blurs them; mean values of many readings seem to scatter more than those. */
const blurs = 1.5;
/** Fewer moments, or steps seen by fewer readings, tell less than all the readings together. */
const fewest = 14;
const readingsOfStep = 4;
const mostSteps = 1024;
/** A volume so far from a whole step, in steps, was put together from readings, or moved. */
const offStep = 0.02;
/** A first or last step seen for less than this share of its neighbour may have been changed to and fro before, or after. */
const wholeEnough = 0.5;
const spentIn = workplace();

/**
 * The stored volume half-way between two steps, at the moment at which half of the flicker between them was over: the water
 * has spent at a step as long as the sensor told it.
 *
 * @param samples volumes in m³ against time, read off the steps or mean values of such; those without weight are left out
 * @param step_m3 of the sensor; 0 where none is known
 * @param sd_m3   of a sample about the course of the water
 * @returns null where noise blurs the steps into one another, the water falls, or too few steps were passed
 */
export function stepMoments(samples: CurveSamples, step_m3: number, sd_m3: number): CurveSamples | null {
  const { t, y, weight, count } = samples;
  if (!(step_m3 > 0 && sd_m3 < blurs * step_m3 && count > fewest)) return null;
  let lowest_m3 = Number.POSITIVE_INFINITY;
  for (let i = 0; i < count; i += 1) if (weight[i] === 1) lowest_m3 = Math.min(lowest_m3, y[i] as number);
  const spent_s = spentIn(mostSteps + 1).fill(0, 0, mostSteps + 1);
  let highest = 0;
  let before_s = (t[0] as number) - ((t[1] as number) - (t[0] as number)) / 2;
  const from_s = before_s;
  for (let i = 0; i < count; i += 1) {
    const w = weight[i] as number;
    if (w === 0) continue;
    let next = i + 1;
    while (next < count && weight[next] === 0) next += 1;
    const gap_s = next < count ? (t[next] as number) - (t[i] as number) : 2 * ((t[i] as number) - before_s);
    const share = next < count ? w / (w + (weight[next] as number)) : 0.5;
    const until_s = (t[i] as number) + share * gap_s;
    const steps = Math.max(0, ((y[i] as number) - lowest_m3) / step_m3);
    if (w === 1 && Math.abs(steps - Math.round(steps)) > offStep) return null;
    // Each change is over before the next begins.
    if (!(steps < mostSteps) || steps < highest - 1 - offStep) return null;
    highest = Math.max(highest, Math.round(steps));
    const whole = Math.floor(steps + offStep);
    const part = Math.max(0, steps - whole);
    spent_s[whole] = (spent_s[whole] as number) + (1 - part) * (until_s - before_s);
    spent_s[whole + 1] = (spent_s[whole + 1] as number) + part * (until_s - before_s);
    before_s = until_s;
  }
  if (highest < fewest || weightOf(samples) < readingsOfStep * highest) return null;
  return momentsOf(spent_s, highest, from_s, (step) => lowest_m3 + (step + 0.5) * step_m3);
}

function momentsOf(
  spent_s: Float64Array,
  highest: number,
  from_s: number,
  volume_m3: (step: number) => number,
): CurveSamples | null {
  const spent = (step: number) => spent_s[step] as number;
  const first = spent(0) < wholeEnough * spent(1) ? 1 : 0;
  const last = spent(highest) < wholeEnough * spent(highest - 1) ? highest - 2 : highest - 1;
  const t = new Float64Array(highest);
  const y = new Float64Array(highest);
  let count = 0;
  let time_s = from_s;
  for (let step = 0; step <= last; step += 1) {
    time_s += spent(step);
    // A step that was passed over between two readings has no moment of its own.
    if (step < first || spent(step) === 0 || spent(step + 1) === 0) continue;
    t[count] = time_s;
    y[count] = volume_m3(step);
    count += 1;
  }
  return count < fewest ? null : { t, y, weight: new Float64Array(highest).fill(1), count };
}
