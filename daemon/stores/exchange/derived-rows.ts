// Cycles, findings and inflow as rows of a table, in the words and units of the report.

import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { iso, reportCycle, reportFinding, reportFlow } from "../../../analysis/report/summarize.ts";
import type { Cell } from "./csv-lines.ts";

type Rows<Columns extends readonly string[]> = Generator<Record<Columns[number], Cell>>;

export const cycleColumns = [
  ...(["started_at", "stopped_at", "run_s", "rest_s", "start_level_mm", "stop_level_mm", "drain_back_l"] as const),
  ...(["running_current_a", "running_current_sd_a", "running_power_w", "running_power_sd_w"] as const),
  ...(["inflow_lpm", "inflow_u95_lpm", "inflow_method", "pump_rate_lpm", "pump_rate_u95_lpm"] as const),
  ...(["pump1_s", "pump2_s", "both_s", "rate_of"] as const),
] as const;
export const findingColumns = ["from", "to", "kind", "severity", "message", "evidence"] as const;
export const inflowColumns = ["from", "to", "inflow_lpm", "inflow_u95_lpm"] as const;

/** A key of the report that holds others gives a column for each: `inflow_lpm`, `pump_rate_u95_lpm`. */
export function* cycleRows(cycles: Iterable<Cycle>): Rows<typeof cycleColumns> {
  for (const cycle of cycles) {
    const { inflow, pump_rate, pumps, ...plain } = reportCycle(cycle);
    yield {
      ...plain,
      inflow_lpm: inflow?.lpm ?? null,
      inflow_u95_lpm: inflow?.u95_lpm ?? null,
      inflow_method: inflow?.method ?? null,
      pump_rate_lpm: pump_rate?.lpm ?? null,
      pump_rate_u95_lpm: pump_rate?.u95_lpm ?? null,
      pump1_s: pumps?.pump1_s ?? null,
      pump2_s: pumps?.pump2_s ?? null,
      both_s: pumps?.both_s ?? null,
      rate_of: pumps?.rate_of ?? null,
    };
  }
}

/** The evidence is one column, as JSON: each kind has figures of its own. */
export function* findingRows(findings: Iterable<Finding>): Rows<typeof findingColumns> {
  for (const finding of findings) {
    const { from, to, evidence, kind, severity, message } = reportFinding(finding);
    yield { from, to, kind, severity, message, evidence: JSON.stringify(evidence) };
  }
}

/** From one moment up to another: where there is no row, the inflow is not known. */
export function* inflowRows(stretches: Iterable<InflowStretch>): Rows<typeof inflowColumns> {
  for (const { from_s, to_s, inflow_m3s, uInflow_m3s } of stretches) {
    const { lpm, u95_lpm } = reportFlow({
      flow_m3s: inflow_m3s,
      uFlow_m3s: uInflow_m3s,
      degreesOfFreedom: Number.POSITIVE_INFINITY,
    });
    yield { from: iso(from_s), to: iso(to_s), inflow_lpm: lpm, inflow_u95_lpm: u95_lpm };
  }
}
