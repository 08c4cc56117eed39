// The base beneath a storm: what would have come in without its rain.

import { medianInPlace } from "../statistics/median.ts";
import { lowest, type Rise } from "./rises.ts";
import type { Search } from "./storm-search.ts";

/** What is left of a storm at its end fades in about such a time. */
const settles_s = 12 * 3600;

/** Median of three hours before the rise. */
export function calmBefore({ smooth, grid }: Search, { onset, onset_m3s }: Rise): number {
  const before: number[] = [];
  for (let i = Math.max(0, onset - Math.max(3, Math.round(10_800 / grid.step_s))); i <= onset; i += 1) {
    if (!Number.isNaN(smooth[i] as number)) before.push(smooth[i] as number);
  }
  return Math.min(medianInPlace(before), onset_m3s);
}

/** From what stood at the beginning to what the flow goes down to after the end; in another's tail, that tail carried on. */
export function layBase(
  { smooth, grid, recession }: Search,
  { onset, end, ended, onset_m3s }: Rise,
  under_m3s: number,
  inTail: boolean,
  base: Float64Array,
): Float64Array {
  const beneath = new Float64Array(end - onset);
  const end_m3s = ended === "back-to-base" ? lowest(smooth, end, end + Math.round(settles_s / grid.step_s)) : under_m3s;
  const left_m3s = inTail ? onset_m3s - under_m3s : 0;
  for (let i = 0; i < beneath.length; i += 1) {
    const tail =
      left_m3s <= 0 || recession === null ? 0 : left_m3s * Math.exp((-i * grid.step_s) / recession.constant_s);
    const level =
      under_m3s +
      (Math.max(0, Math.min(end_m3s, smooth[end - 1] as number) - under_m3s) * i) / Math.max(1, beneath.length);
    beneath[i] = Math.min(Math.max(level, under_m3s + tail), smooth[onset + i] as number);
    base[onset + i] = beneath[i] as number;
  }
  return beneath;
}
