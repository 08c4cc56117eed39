// A level sensor that leaps within a rest and later leaps back: lifted out and hung back, or pushed aside for some minutes.
// Water poured in does not leave by itself while the pump rests, so that neither leap was water.

import type { CurveSamples } from "../../statistics/fit-curve.ts";
import { type Scatter, scatterAt_m3, scatterOf } from "../sensor-errors/scatter-of-reading.ts";

interface Leap {
  /** The last sample before it and the first after it. */
  readonly from: number;
  readonly to: number;
  readonly volume_m3: number;
}

/** Between readings farther apart a whole run may go by unseen; a leap may fall where one of them is missing. */
const mostInterval_s = 12;
const atOnce_s = 2.5 * mostInterval_s;
const least_m3 = 0.001;
/** Standard deviations of a sample. */
const clearly = 10;
/** A leap that two readings share goes on with at least such a part of what is clear, and of what it began with. */
const ofClear = 0.5;
const ofLeap = 0.25;
/** More of them are waves or foam, which leap from one reading to the next. */
const mostLeaps = 6;
const fewestBeside = 4;
/** Shorter ones are spikes, and get no weight anyway. */
const fewestBetween = 2;
/** Share of the leap by which the level afterwards may differ from where the water would have come to by itself. */
const alike = 0.25;

/**
 * Looks for leaps that are undone; where there are some, puts what lies between on a line from before to after, and gives
 * it no weight.
 *
 * @param samples volumes in m³ against seconds since the stop, in order of time; changed where leaps are undone
 * @param step_m3 what one step of the level sensor is worth
 * @returns whether there were any
 */
export function takeOutLeapsBack(samples: CurveSamples, step_m3: number): boolean {
  const clear_m3 = Math.max(least_m3, 4 * step_m3);
  if (samples.count < 2 * fewestBeside + fewestBetween || !fallsBy(samples, clear_m3)) return false;
  if (intervalOf_s(samples) > mostInterval_s) return false;
  const scatter = scatterOf(samples);
  const leaps = leapsIn(samples, clear_m3, scatter);
  if (leaps.length > mostLeaps) return false;
  let found = false;
  for (let k = 1; k < leaps.length; k += 1) {
    const [away, back] = [leaps[k - 1] as Leap, leaps[k] as Leap];
    if (!undoes(samples, away, back, scatter)) continue;
    passOver(samples, away.from, back.to);
    found = true;
    k += 1;
  }
  return found;
}

/** Whether the volume falls by so much within three samples: what no ordinary rest does. */
function fallsBy({ y, count }: CurveSamples, by_m3: number): boolean {
  for (let i = 1; i < count; i += 1) {
    const now_m3 = y[i] as number;
    if ((y[i - 1] as number) - now_m3 > by_m3 || (y[i - 2] ?? now_m3) - now_m3 > by_m3) return true;
  }
  return false;
}

function intervalOf_s({ t, weight, count }: CurveSamples): number {
  let readings = 0;
  for (let i = 0; i < count; i += 1) readings += weight[i] as number;
  return ((t[count - 1] as number) - (t[0] as number)) / Math.max(1, readings - 1);
}

function leapsIn(samples: CurveSamples, atLeast_m3: number, scatter: Scatter): Leap[] {
  const { t, y, count } = samples;
  const leaps: Leap[] = [];
  const step_m3 = (i: number) => (y[i] as number) - (y[i - 1] as number);
  for (let to = 1; to < count; to += 1) {
    const from = to - 1;
    const first_m3 = step_m3(to);
    if (!(Math.abs(first_m3) > ofClear * atLeast_m3)) continue;
    const clear_m3 = Math.max(atLeast_m3, clearly * scatterAt_m3(scatter, samples, from));
    const part_m3 = Math.max(ofClear * clear_m3, ofLeap * Math.abs(first_m3));
    if (!(Math.abs(first_m3) > ofClear * clear_m3)) continue;
    while (to + 1 < count && Math.sign(first_m3) * step_m3(to + 1) > part_m3) to += 1;
    const volume_m3 = (y[to] as number) - (y[from] as number);
    const lasts_s = (t[to] as number) - (t[from] as number);
    if (Math.abs(volume_m3) > clear_m3 && lasts_s <= atOnce_s) leaps.push({ from, to, volume_m3 });
  }
  return leaps;
}

function undoes(samples: CurveSamples, away: Leap, back: Leap, scatter: Scatter): boolean {
  const { t, y, count } = samples;
  if (away.volume_m3 * back.volume_m3 > 0 || back.from - away.to + 1 < fewestBetween) return false;
  if (away.from + 1 < fewestBeside || count - back.to < fewestBeside) return false;
  const at_s = (i: number) => t[i] as number;
  const at_m3 = (i: number) => y[i] as number;
  const own_m3 = at_m3(away.from) - at_m3(0) + at_m3(count - 1) - at_m3(back.to);
  const own_s = at_s(away.from) - at_s(0) + at_s(count - 1) - at_s(back.to);
  const expected_m3 = (Math.max(0, own_m3) / own_s) * (at_s(back.to) - at_s(away.from));
  const off_m3 = at_m3(back.to) - at_m3(away.from) - expected_m3;
  const size_m3 = Math.min(Math.abs(away.volume_m3), Math.abs(back.volume_m3));
  const near_m3 = alike * size_m3 + 3 * scatterAt_m3(scatter, samples, away.from);
  // From one spike down and up to another no sensor has leapt.
  const stands = Math.abs(at_m3(away.from) - besides_m3(y, away.from - fewestBeside + 1)) < near_m3;
  const stood = Math.abs(at_m3(back.to) - besides_m3(y, back.to)) < near_m3;
  return stands && stood && Math.abs(off_m3) < near_m3;
}

/** The lower of the two in the middle of four. */
function besides_m3(y: Float64Array, from: number): number {
  return y.slice(from, from + fewestBeside).sort()[1] as number;
}

function passOver({ t, y, weight }: CurveSamples, from: number, to: number): void {
  const [from_s, from_m3] = [t[from] as number, y[from] as number];
  const slope_m3s = ((y[to] as number) - from_m3) / ((t[to] as number) - from_s);
  for (let i = from + 1; i < to; i += 1) {
    y[i] = from_m3 + slope_m3s * ((t[i] as number) - from_s);
    weight[i] = 0;
  }
}
