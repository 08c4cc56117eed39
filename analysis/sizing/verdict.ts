// Is what a pump moves enough? One rule for the report and for the sizing answer.

import type { SizingVerdict } from "../report/report.ts";

/** Flow to spare over the required one. Common practice, no source. */
export const comfortable = 1.1;

/**
 * `undersized` when the required flow is more than what the pump moves; `marginal` when less than a tenth is to spare, or
 * the upper end of the required flow's 95 % interval is more; else `adequate`.
 */
export function verdictOf(
  required_m3s: number,
  highestRequired_m3s: number,
  moved_m3s: number,
): Exclude<SizingVerdict, "not-enough-data"> {
  if (required_m3s > moved_m3s) return "undersized";
  if (required_m3s * comfortable > moved_m3s || highestRequired_m3s > moved_m3s) return "marginal";
  return "adequate";
}
