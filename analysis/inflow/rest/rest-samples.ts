// The samples of a rest made ready for its fit: how much of the rest they show, what is put back, what is left out.

import type { CurveSamples, TimeFunction } from "../../statistics/fit-curve.ts";
import type { DrainBack } from "../drain-back/drain-back.ts";
import { slowlyOut } from "../drain-back/slow-course.ts";
import { weightOf } from "./condensed.ts";

/** A curve carries on for so much of the rest, or twice as far as its samples stand apart. */
const carriesOn = 0.15;

/** The part of the rest that its samples show, in seconds since the stop. */
export function seenPart(samples: CurveSamples, duration_s: number): { seenFrom_s: number; seenTo_s: number } {
  const { t, count } = samples;
  const first_s = t[0] ?? 0;
  const last_s = t[count - 1] ?? 0;
  const taken = weightOf(samples);
  const reach_s = Math.max(carriesOn * duration_s, (2 * (last_s - first_s)) / Math.max(1, taken - 1));
  return {
    seenFrom_s: first_s > reach_s ? first_s : 0,
    seenTo_s: duration_s - last_s > reach_s ? last_s : duration_s,
  };
}

/** Puts water that is still out back as if it had come at once. */
export function addBack(those: readonly CurveSamples[], drainBack: DrainBack): void {
  const left = slowlyOut(drainBack);
  const until_s = 20 * drainBack.time_s;
  for (const { t, y, count } of new Set(those)) {
    for (let i = 0; i < count && (t[i] as number) < until_s; i += 1) {
      y[i] = (y[i] as number) + drainBack.volume_m3 * left(t[i] as number);
    }
  }
}

export function addTo(those: readonly CurveSamples[], volume_m3: TimeFunction): void {
  for (const { t, y, count } of new Set(those))
    for (let i = 0; i < count; i += 1) y[i] = (y[i] as number) + volume_m3(t[i] as number);
}

export function leaveOutBefore(samples: CurveSamples, time_s: number): void {
  for (let i = 0; i < samples.count && (samples.t[i] ?? 0) < time_s; i += 1) samples.weight[i] = 0;
}

export function leaveOutAfter(samples: CurveSamples, time_s: number): void {
  for (let i = samples.count - 1; i >= 0 && (samples.t[i] ?? 0) > time_s; i -= 1) samples.weight[i] = 0;
}
