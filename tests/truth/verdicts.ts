// The targets, and how the measured rows stand against them.

import { type FindingKind, findingKinds } from "../../analysis/findings/finding.ts";
import { type FlowRow, medianOf, type Row } from "./pool.ts";
import { isHealthy, type Scenario } from "./scenario.ts";

export const targets = {
  recall: 0.999,
  precision: 0.999,
  coverage: [0.93, 0.97],
  clean: 1.05,
  spikes: 1.25,
  peaks: 0.03,
  detection: 0.99,
  falsePerYear: 0.1,
} as const;

const year_s = 365.25 * 86_400;

export interface Verdict {
  readonly target: string;
  readonly measured: string;
  readonly met: boolean | null;
}

export interface FindingRow {
  readonly kind: FindingKind;
  readonly scenarios: number;
  readonly events: number;
  readonly found: number;
  readonly medianDelay_s: number;
  readonly worstDelay_s: number;
  readonly medianDelayCycles: number;
  readonly repeats: number;
  /** Of those that should give a cause: how many gave the true one. */
  readonly causes: number;
  readonly causesRight: number;
  readonly falseHealthy: number;
  readonly falseSick: number;
}

export function coverageMet({ inflow, scenario }: Row): boolean | null {
  return covers(inflow, scenario);
}

export function pumpCoverageMet({ pumpRate, scenario }: Row): boolean | null {
  return covers(pumpRate, scenario);
}

function covers({ compared, coverage }: FlowRow, { judge }: Scenario): boolean | null {
  if (!judge.flows || !(compared >= 50)) return null;
  const [low, high] = targets.coverage;
  return coverage.high >= low && (judge.constantError || coverage.low <= high);
}

export function biasMet({ inflow, scenario }: Row): boolean | null {
  if (!scenario.judge.flows || inflow.compared < 50) return null;
  const { constantError } = scenario.judge;
  return Math.abs(inflow.bias) <= Math.max(0.0005, 3 * inflow.uBias, (constantError ? 0.5 : 0.1) * inflow.halfWidth);
}

export function boundMet({ overBound, scenario }: Row): boolean | null {
  const { bound } = scenario.judge;
  if (overBound === null || bound === null) return null;
  return overBound.rms * (1 - 2 / Math.sqrt(2 * overBound.fills)) <= targets[bound];
}

export function peaksMet({ peaks, scenario }: Row): boolean | null {
  if (!scenario.judge.peaks) return null;
  return Object.values(peaks).every((error) => error !== null && Math.abs(error) <= targets.peaks);
}

export function findingRows(rows: readonly Row[]): FindingRow[] {
  return findingKinds.map((kind) => {
    const events = rows.flatMap((row) => row.events.filter((event) => event.kind === kind));
    const found = events.filter(({ delay_s }) => delay_s !== null);
    const falseIn = (healthy: boolean) =>
      rows
        .filter(({ scenario }) => isHealthy(scenario) === healthy)
        .reduce((sum, row) => sum + row.falseAlarms.filter((alarm) => alarm.kind === kind).length, 0);
    return {
      kind,
      scenarios: rows.filter((row) => row.events.some((event) => event.kind === kind)).length,
      events: events.length,
      found: found.length,
      medianDelay_s: medianOf(found.map(({ delay_s }) => delay_s ?? 0)),
      worstDelay_s: Math.max(...found.map(({ delay_s }) => delay_s ?? 0)),
      medianDelayCycles: medianOf(found.map(({ delayCycles }) => delayCycles ?? 0)),
      repeats: events.reduce((sum, { repeats }) => sum + repeats, 0),
      causes: events.filter(({ causeRight }) => causeRight !== null).length,
      causesRight: events.filter(({ causeRight }) => causeRight === true).length,
      falseHealthy: falseIn(true),
      falseSick: falseIn(false),
    };
  });
}

export function healthyYears(rows: readonly Row[]): number {
  return rows.filter(({ scenario }) => isHealthy(scenario)).reduce((sum, { span_s }) => sum + span_s, 0) / year_s;
}

export function verdicts(rows: readonly Row[]): Verdict[] {
  const judged = rows.filter(({ scenario, trueCycles }) => scenario.judge.cycles && trueCycles > 0);
  const all = judged.reduce((sum, { trueCycles }) => sum + trueCycles, 0);
  const found = judged.reduce((sum, { trueCycles, recall }) => sum + trueCycles * recall, 0);
  const said = judged.reduce((sum, { trueCycles, recall, precision }) => sum + (trueCycles * recall) / precision, 0);
  const years = healthyYears(rows);
  const wolves = findingRows(rows).reduce((sum, { falseHealthy }) => sum + falseHealthy, 0);
  const thrown = rows.reduce((sum, row) => sum + row.thrown.length, 0);
  return [
    { target: "the analysis never throws", measured: `${thrown} times`, met: thrown === 0 },
    {
      target: `cycle recall at least ${targets.recall}`,
      measured: `${(found / all).toFixed(5)} of ${all} runs; ${outOf(judged, ({ recall }) => recall >= targets.recall)}`,
      met: found / all >= targets.recall,
    },
    {
      target: `cycle precision at least ${targets.precision}`,
      measured: `${(found / said).toFixed(5)}; ${outOf(judged, ({ precision }) => precision >= targets.precision)}`,
      met: found / said >= targets.precision,
    },
    byScenario(
      rows,
      boundMet,
      `error at most ${targets.clean} times the Cramér–Rao bound, ${targets.spikes} with spikes`,
    ),
    byScenario(rows, biasMet, "inflow without bias"),
    byScenario(rows, coverageMet, "u95 of the inflow covers the truth in 93 to 97 % of the fills"),
    byScenario(rows, pumpCoverageMet, "u95 of the pump's rate covers the truth in 93 to 97 % of the runs"),
    byScenario(rows, peaksMet, "peaks over 60, 600 and 3600 s within 3 % in storms"),
    ...findingRows(rows)
      .filter(({ events }) => events > 0)
      .map(({ kind, events, found: seen }) => ({
        target: `${kind}: found in at least ${targets.detection * 100} %`,
        measured: `${seen} of ${events}`,
        met: seen / events >= targets.detection,
      })),
    {
      target: "at most one false alarm in 10 healthy basin-years",
      measured: `${wolves} in ${years.toFixed(1)}`,
      met: years === 0 ? null : wolves / years <= targets.falsePerYear,
    },
  ];
}

function byScenario(rows: readonly Row[], of: (row: Row) => boolean | null, target: string): Verdict {
  const judged = rows.filter((row) => of(row) !== null);
  return { target, measured: outOf(judged, of), met: judged.length === 0 ? null : judged.every(of) };
}

function outOf(rows: readonly Row[], of: (row: Row) => boolean | null): string {
  return `${rows.filter(of).length} of ${rows.length} scenarios`;
}
