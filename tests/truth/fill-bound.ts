// The least standard deviation that any unbiased estimate of a steady inflow can have: the Cramér–Rao bound of the slope
// of a straight line in white noise, var = 12 σ² / (dt² · N · (N² − 1)), with volume = area · level.

import type { Plan } from "./plan.ts";
import { vesselOf } from "./vessel.ts";

/** Rounding to steps adds a twelfth of their square; readings that are spikes or missing tell nothing. */
export function fillBound_m3s({ senses, sample_s, site, trips }: Plan, rest_s: number): number {
  const variance_m2 = senses.white_m ** 2 + senses.step_m ** 2 / 12;
  const told = Math.floor(rest_s / sample_s) * (1 - senses.spikeShare - senses.dropShare);
  const spacing_s = rest_s / told;
  const area_m2 = vesselOf(site.basin.geometry).area_m2(trips.start_m);
  return area_m2 * Math.sqrt((12 * variance_m2) / (spacing_s ** 2 * told * (told ** 2 - 1)));
}
