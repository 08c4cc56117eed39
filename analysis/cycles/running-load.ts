// What a motor draws while it runs: mean and spread of current and power over one run, its first second left out, in
// which it draws several times as much.

import type { Reading } from "../readings/reading.ts";
import type { RunningLoad } from "./cycle.ts";

interface Drawn {
  readings: number;
  mean: number;
  /** Sum of the squared differences from the mean (Welford 1962, Technometrics 4, 419). */
  squares: number;
}

export interface RunningLoadState {
  /** Since when the signal says that a pump runs; NaN while it does not. */
  onSince_s: number;
  readonly current: Drawn;
  readonly power: Drawn;
}

export function newRunningLoad(): RunningLoadState {
  return { onSince_s: Number.NaN, current: nothing(), power: nothing() };
}

/** Inrush is over by then; common practice, no source. */
const inrush_s = 1;

/** @param on what the signal says at this reading */
export function noteLoad(state: RunningLoadState, time_s: number, reading: Reading, on: boolean | null): void {
  if (on !== true) {
    state.onSince_s = Number.NaN;
    return;
  }
  if (Number.isNaN(state.onSince_s)) state.onSince_s = time_s;
  if (time_s - state.onSince_s < inrush_s) return;
  if (reading.pumpCurrent_a !== null) add(state.current, reading.pumpCurrent_a);
  if (reading.pumpPower_w !== null) add(state.power, reading.pumpPower_w);
}

/** Of the run that has ended; the count begins anew. */
export function takeLoad({ current, power }: RunningLoadState): {
  readonly current: RunningLoad | null;
  readonly power: RunningLoad | null;
} {
  const taken = { current: drawn(current), power: drawn(power) };
  forgetLoad({ current, power });
  return taken;
}

export function forgetLoad({ current, power }: Pick<RunningLoadState, "current" | "power">): void {
  Object.assign(current, nothing());
  Object.assign(power, nothing());
}

function nothing(): Drawn {
  return { readings: 0, mean: 0, squares: 0 };
}

function add(drawn: Drawn, value: number): void {
  // What no motor draws would spoil the mean for good.
  if (!Number.isFinite(value)) return;
  drawn.readings += 1;
  const off = value - drawn.mean;
  drawn.mean += off / drawn.readings;
  drawn.squares += off * (value - drawn.mean);
}

function drawn({ readings, mean, squares }: Drawn): RunningLoad | null {
  if (readings === 0) return null;
  return { mean, standardDeviation: readings < 2 ? null : Math.sqrt(squares / (readings - 1)) };
}
