// What a search for storms works on: the record as it came, laid on even steps, smoothed, and how fast storms fade.

import type { InflowStretch } from "../analyzer.ts";
import type { EvenSeries } from "./even-series.ts";
import type { RainStretch } from "./rain.ts";
import type { Recession } from "./recession.ts";

export interface Search {
  readonly inflow: readonly InflowStretch[];
  readonly rain: readonly RainStretch[] | null;
  readonly grid: EvenSeries & { readonly u: Float64Array };
  readonly smooth: Float64Array;
  readonly noise_m3s: number;
  readonly recession: Recession | null;
}

/** Inflow on even steps, and the base beneath the storms. */
export interface StormCourse extends EvenSeries {
  readonly u: Float64Array;
  readonly base: Float64Array;
  readonly noise_m3s: number;
}

export function timeOf_s({ grid }: Search, step: number): number {
  return grid.from_s + step * grid.step_s;
}
