// What sizing reckons with in the invented basin: its pump and pipe, and the record of its month.

import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { ReportSummary } from "../../analysis/report/report.ts";
import type { Site } from "../../analysis/site.ts";
import type { SizingInputs } from "../../daemon/server/api-types.ts";
import type { Span } from "../../daemon/stores/store.ts";
import { inflowIn, pump_m3s } from "./mock-month.ts";
import { siteInfo } from "./mock-moods.ts";

/** The invented house with its pump and its pipe known. */
export const sizedSite: Site = {
  ...siteInfo.site,
  pump: {
    curve: [
      { flow_m3s: 0, head_m: 7.5 },
      { flow_m3s: 1e-3, head_m: 6 },
      { flow_m3s: 2e-3, head_m: 3 },
      { flow_m3s: 2.6e-3, head_m: 0 },
    ],
    maxStartsPerHour: 20,
    minRun_s: 8,
  },
  discharge: {
    highPoint_m: 3.05,
    pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 7 },
    fittings: [
      { kind: "elbow-90", count: 3 },
      { kind: "check-valve-swing", count: 1 },
    ],
  },
};

export function sizingInputs(record: Span, cycles: readonly Cycle[]): SizingInputs {
  const inflow = inflowIn(record, 20_000, cycles);
  return { summary: summaryOf(record, inflow, cycles), inflow, cycles: cycles.slice(-500) };
}

function summaryOf(record: Span, inflow: SizingInputs["inflow"], cycles: readonly Cycle[]): ReportSummary {
  const iso = (time_s: number) => new Date(time_s * 1000).toISOString();
  const highest = inflow.reduce((most, stretch) => (stretch.inflow_m3s > most.inflow_m3s ? stretch : most));
  const lpm = (flow_m3s: number) => flow_m3s * 60_000;
  const peak = { lpm: lpm(highest.inflow_m3s), u95_lpm: lpm(highest.inflow_m3s) / 40, at: iso(highest.from_s) };
  const pumped_m3 = inflow.reduce((sum, each) => sum + each.inflow_m3s * (each.to_s - each.from_s), 0);
  return {
    schema: "undercroft-report/1",
    span: { start: iso(record.from_s), end: iso(record.to_s), rows: 2_592_000, gaps: [] },
    inflow: {
      mean_lpm: lpm(pumped_m3 / (record.to_s - record.from_s)),
      mean_u95_lpm: 0.02,
      peak: { "60": peak, "600": peak, "3600": peak },
    },
    totals: {
      starts: cycles.length,
      run_s: cycles.reduce((sum, { run_s }) => sum + run_s, 0),
      pumped_l: pumped_m3 * 1000,
      pumped_u95_l: pumped_m3 * 5,
      most_starts_in_an_hour: 9,
    },
    findings: [],
    sizing: {
      verdict: "adequate",
      required_lpm: 1.5 * peak.lpm,
      static_head_m: 2.9,
      friction_head_m: 0.5,
      total_dynamic_head_m: 3.4,
      duty_point: null,
      margin: pump_m3s / highest.inflow_m3s,
    },
  };
}
