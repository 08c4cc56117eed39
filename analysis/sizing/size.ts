// Is the pump big enough for the worst ten minutes that were measured? Flows, heads and a verdict for the report.
// Measuring the peak and the pump is done elsewhere; this only sets them against each other and against the pipe.

import type { DutyPoint } from "../hydraulics/curves-meet.ts";
import { dischargeHead } from "../hydraulics/discharge-head.ts";
import { dutyPoint } from "../hydraulics/duty-point.ts";
import { pumpCurve } from "../hydraulics/pump-curve.ts";
import type { ReportSizing } from "../report/report.ts";
import type { Site } from "../site.ts";
import { fromSi } from "../units/unit.ts";
import { verdictOf } from "./verdict.ts";

export interface SizingInput {
  readonly site: Site;
  /** Highest mean inflow over 600 s; null if no such stretch was observed. */
  readonly peak600_m3s: number | null;
  /** Its standard uncertainty; null if unknown. */
  readonly uPeak600_m3s: number | null;
  /** More may have come than was measured: water went over the rim, or came while nothing was read. */
  readonly peakIsLeast?: boolean;
  /** The most that it can have been, where only volumes are known, not when they came in; null or absent: as measured. */
  readonly mostPeak600_m3s?: number | null;
  /** What the pump moves, as measured; null before it is known. */
  readonly measuredPumpRate_m3s: number | null;
  /** Only with two pumps: what both move together, as measured; then `measuredPumpRate_m3s` is with one of them failed. */
  readonly bothPumps_m3s?: number | null;
  /** Whole cycles that were seen. */
  readonly cycles: number;
}

/**
 * Sets the pump against the measured peak.
 *
 * `required_lpm` is the peak over 600 s times the site's allowance. The heads are those of the discharge at that flow, and
 * the duty point that of the pump's curve, water at the stop level: the greatest lift of a cycle. What the pump moves is
 * its measured rate, else its duty point.
 *
 * Verdict: `not-enough-data` while the peak or what the pump moves is unknown, in a dry spell, before a whole cycle
 * shows that the pump runs, or where more may have come than was measured and that is not too much already; `undersized` when the required flow is more than it moves; `marginal` when less than a tenth
 * is to spare (common practice, no source), or the peak's 95 % interval, or what it can have been at most, reaches past what it moves; else `adequate`.
 *
 * @returns the report's `sizing`, in L/min and m; what cannot be known is null
 * @throws {RangeError} when the pump's curve or the pipe is not one that hydraulics/ takes
 */
export function sizeUp(input: SizingInput): ReportSizing {
  const { site, peak600_m3s, measuredPumpRate_m3s } = input;
  const required_m3s = peak600_m3s === null ? null : Math.max(0, peak600_m3s) * site.design.inflowFactor;
  const duty = dutyPointOf(site);
  const moved_m3s = measuredPumpRate_m3s ?? duty?.flow_m3s ?? null;
  const wet = peak600_m3s !== null && peak600_m3s > 0;
  const found = wet && moved_m3s !== null && input.cycles > 0 ? verdict(input, peak600_m3s, moved_m3s) : null;
  const unbounded = input.peakIsLeast === true && found !== "undersized";
  return {
    verdict: unbounded ? "not-enough-data" : (found ?? "not-enough-data"),
    required_lpm: required_m3s === null ? null : fromSi(required_m3s, "L/min"),
    ...headsAt(site, required_m3s),
    duty_point: duty === null ? null : { lpm: fromSi(duty.flow_m3s, "L/min"), head_m: duty.head_m },
    margin: wet && moved_m3s !== null && !unbounded ? moved_m3s / peak600_m3s : null,
    ...(input.bothPumps_m3s !== undefined && {
      firm_capacity_lpm: moved_m3s === null ? null : fromSi(moved_m3s, "L/min"),
      both_capacity_lpm: input.bothPumps_m3s === null ? null : fromSi(input.bothPumps_m3s, "L/min"),
    }),
  };
}

function verdict({ site, uPeak600_m3s, mostPeak600_m3s }: SizingInput, peak_m3s: number, moved_m3s: number) {
  const factor = site.design.inflowFactor;
  const highest_m3s = Math.max(peak_m3s + 2 * (uPeak600_m3s ?? 0), mostPeak600_m3s ?? 0);
  return verdictOf(peak_m3s * factor, highest_m3s * factor, moved_m3s);
}

type Heads = Pick<ReportSizing, "static_head_m" | "friction_head_m" | "total_dynamic_head_m">;

function headsAt({ discharge, basin }: Site, required_m3s: number | null): Heads {
  if (discharge === null || basin.stopLevel_m === null) {
    return { static_head_m: null, friction_head_m: null, total_dynamic_head_m: null };
  }
  const head = dischargeHead(discharge, required_m3s ?? 0, basin.stopLevel_m);
  return {
    static_head_m: head.staticHead_m,
    friction_head_m: required_m3s === null ? null : head.frictionHead_m,
    total_dynamic_head_m: required_m3s === null ? null : head.totalDynamicHead_m,
  };
}

function dutyPointOf({ pump, discharge, basin }: Site): DutyPoint | null {
  const points = pump?.curve ?? null;
  if (points === null || discharge === null || basin.stopLevel_m === null) return null;
  return dutyPoint(pumpCurve(points), discharge, basin.stopLevel_m);
}
