// Puts readings through the analysis and writes down all that it says.

import { type AnalyzerOptions, createAnalyzer, type InflowStretch } from "../../analysis/analyzer.ts";
import type { Cycle, CycleStage } from "../../analysis/cycles/cycle.ts";
import type { Finding, FindingChange } from "../../analysis/findings/finding.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import type { Site } from "../../analysis/site.ts";

export interface Said {
  readonly cycles: { readonly cycle: Cycle; readonly stage: CycleStage }[];
  readonly findings: { readonly finding: Finding; readonly change: FindingChange }[];
  readonly inflow: InflowStretch[];
  readonly gaps: { readonly from_s: number; readonly to_s: number }[];
}

export function listen(): { readonly said: Said; readonly options: AnalyzerOptions } {
  const said: Said = { cycles: [], findings: [], inflow: [], gaps: [] };
  return {
    said,
    options: {
      sink: {
        cycle: (cycle, stage) => said.cycles.push({ cycle, stage }),
        finding: (finding, change) => said.findings.push({ finding, change }),
        inflow: (stretch) => said.inflow.push(stretch),
        gap: (gap) => said.gaps.push(gap),
      },
    },
  };
}

/** From the first reading to the end, in one go. */
export function analyse(site: Site, readings: Iterable<Reading>) {
  const { said, options } = listen();
  const analyzer = createAnalyzer(site, options);
  for (const reading of readings) analyzer.push(reading);
  analyzer.finish();
  return {
    said,
    cycles: finalCycles(said),
    summary: analyzer.summary(),
    figures: analyzer.overAll(),
    situation: analyzer.situation(),
  };
}

/** Every cycle once, as it was last told, in order of its start. */
export function finalCycles({ cycles }: Said): Cycle[] {
  const byStart = new Map(cycles.map(({ cycle }) => [cycle.startedAt_s, cycle]));
  return [...byStart.values()].sort((a, b) => a.startedAt_s - b.startedAt_s);
}
