// Which inflow the pump must hold: the flat allowance over the measured peak, or the design storm's inflow; and why.

import type { Peak } from "../inflow/over-time/rolling-peaks.ts";
import { studentTQuantile } from "../statistics/student-t.ts";
import type { DesignInflow } from "./design-storm.ts";
import type { Expected } from "./expected-range.ts";
import type { StormWords } from "./storm-words.ts";

export interface Governing {
  readonly by: "allowance" | "design-storm";
  /** The greater of the two. */
  readonly required: Expected;
  /** Measured peak over 600 s times the factor: common practice, no source. Null while no peak is known. */
  readonly allowance: (Expected & { readonly factor: number; readonly peak: Peak }) | null;
  readonly design: Expected | null;
  readonly why: string;
}

const z = studentTQuantile(0.975, Number.POSITIVE_INFINITY);

/** @returns null when neither is known */
export function governing(
  peak: Peak | null,
  factor: number,
  design: DesignInflow | null,
  say: StormWords,
): Governing | null {
  const allowance = peak === null ? null : allow(peak, factor);
  const storm = design?.peaks[600] ?? null;
  if (allowance === null && storm === null) return null;
  const byStorm = storm !== null && storm.inflow_m3s > (allowance?.inflow_m3s ?? 0);
  return {
    by: byStorm ? "design-storm" : "allowance",
    required: byStorm ? storm : (allowance as Expected),
    allowance,
    design: storm,
    why: why(allowance, storm, design, byStorm, say),
  };
}

function allow(peak: Peak, factor: number): Governing["allowance"] {
  const inflow_m3s = Math.max(0, peak.inflow_m3s) * factor;
  const reach_m3s = z * peak.uInflow_m3s * factor;
  return { factor, peak, inflow_m3s, low_m3s: Math.max(0, inflow_m3s - reach_m3s), high_m3s: inflow_m3s + reach_m3s };
}

function why(
  allowance: Governing["allowance"],
  storm: Expected | null,
  design: DesignInflow | null,
  byStorm: boolean,
  { flow }: StormWords,
): string {
  const flat =
    allowance &&
    `the measured peak times ${allowance.factor}, ${allowance.peak.isLeast ? "at least " : ""}${flow(allowance.inflow_m3s)}`;
  if (storm === null || design === null) return `Only ${flat}, is known: the design storm's inflow is not.`;
  const range = `${flow(storm.inflow_m3s)}, and between ${flow(storm.low_m3s)} and ${flow(storm.high_m3s)} in 95 of 100 cases`;
  const far = design.timesSeen > 2 ? ", for which the range is widened" : "";
  const times = `Its rain is ${design.timesSeen.toFixed(1)} times the greatest seen in as long a time${far}.`;
  if (flat === null) return `The design storm governs: it brings ${range}. ${times} No peak was measured.`;
  if (byStorm) return `The design storm governs: it brings more than ${flat}; to be expected are ${range}. ${times}`;
  const over = storm.high_m3s > (allowance?.inflow_m3s ?? 0) ? " That range reaches over the allowance." : "";
  return `The allowance governs: ${flat}, is more than the design storm is expected to bring, ${range}.${over} ${times}`;
}
