// What the tests of dirt ask of every analysis: the cycles that there were, the inflow that there was, and no finding
// but those that are named.

import { expect } from "vitest";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Evidence, Finding } from "../../../analysis/findings/finding.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { analyse } from "../../analysis/analyse.ts";
import { hour_s, type Played, site, startTime_s, type TrueRun } from "./dirty-basin.ts";

export interface Judged {
  readonly cycles: readonly Cycle[];
  readonly findings: readonly Finding[];
  readonly missed: readonly TrueRun[];
  readonly invented: readonly Cycle[];
  readonly mean_lpm: number | null;
  readonly peak_lpm: (window: "60" | "600" | "3600") => number | null;
  /** Windows over which more may have come in than the peak that is told. */
  readonly atLeast: readonly string[];
  readonly starts: number;
  readonly gaps: number;
}

export function judged(readings: readonly Reading[], { runs }: Pick<Played, "runs">, slack_s = 3): Judged {
  const { cycles, said, summary } = analyse(site, readings);
  const findings = new Map<string, Finding>();
  for (const { finding } of said.findings) {
    findings.set(`${finding.kind} ${finding.from_s} ${String(finding.evidence.channel)}`, finding);
  }
  const overlap = (cycle: Cycle, run: TrueRun) =>
    cycle.startedAt_s <= run.stoppedAt_s + slack_s && cycle.stoppedAt_s >= run.startedAt_s - slack_s;
  return {
    cycles,
    findings: [...findings.values()],
    missed: runs.filter((run) => !cycles.some((cycle) => overlap(cycle, run))),
    invented: cycles.filter((cycle) => !runs.some((run) => overlap(cycle, run))),
    mean_lpm: summary.inflow.mean_lpm,
    peak_lpm: (window) => summary.inflow.peak[window]?.lpm ?? null,
    atLeast: Object.entries(summary.inflow.peak).flatMap(([window, peak]) => (peak?.at_least ? [window] : [])),
    starts: summary.totals.starts,
    gaps: summary.span.gaps.length,
  };
}

export function kinds({ findings }: Judged): string[] {
  return findings.map(({ kind, evidence }) => (kind === "sensor-fault" ? `${kind} ${String(evidence.channel)}` : kind));
}

/** When the first finding of that kind (and channel) began, in hours since the beginning; NaN without one. */
export function foundAt_h({ findings }: Judged, kind: string, evidence: Partial<Evidence> = {}): number {
  const fits = (finding: Finding) =>
    finding.kind === kind && Object.entries(evidence).every(([key, value]) => finding.evidence[key] === value);
  return ((findings.find(fits)?.from_s ?? Number.NaN) - startTime_s) / hour_s;
}

/** Every run found, none invented, the mean inflow within `share`, and every rest's own within `eachShare`. */
export function expectSound(found: Judged, played: Played, share: number, eachShare = 5 * share): void {
  expect(found.missed).toEqual([]);
  expect(found.invented).toEqual([]);
  expect(Math.abs((found.mean_lpm ?? Number.NaN) / played.meanInflow_lpm - 1)).toBeLessThan(share);
  for (const { inflow } of found.cycles.slice(2)) {
    if (inflow === null) continue;
    expect(Math.abs((inflow.flow_m3s * 60_000) / played.meanInflow_lpm - 1)).toBeLessThan(eachShare);
  }
}
