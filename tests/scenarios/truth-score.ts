// Holds what the analysis says of a basin against what really happened there.

import type { Analyzer, AnalyzerOptions } from "../../analysis/analyzer.ts";
import type { Cycle, FlowEstimate } from "../../analysis/cycles/cycle.ts";
import type { Finding } from "../../analysis/findings/finding.ts";
import type { PeakWindow } from "../../analysis/report/report.ts";
import type { Site } from "../../analysis/site.ts";
import type { TrueCycle } from "../../daemon/sources/simulated/basin-model.ts";
import { playTruth } from "./truth-run.ts";
import type { TruthScenario } from "./truth-scenarios.ts";

/** How a measured figure compares with the truth, over all the cycles that have it. */
export interface Agreement {
  readonly compared: number;
  /** Cycles of which the truth is known and the analysis says nothing. */
  readonly unknown: number;
  /** Mean and root mean square of (measured − true) / true. */
  readonly bias: number;
  readonly rms: number;
  /** Share of cycles whose 95 % interval holds the truth. */
  readonly covered: number;
  /** Mean of (half-width of the 95 % interval) / true: small is good, if `covered` is. */
  readonly halfWidth: number;
}

export interface Score {
  readonly trueCycles: number;
  readonly foundCycles: number;
  /** Share of the true cycles that were found, share of the found ones that are true. */
  readonly recall: number;
  readonly precision: number;
  readonly inflow: Agreement;
  readonly pumpRate: Agreement;
  /** Mean of measured − true, and of the true figure. */
  /** Over the cycles in which some was seen; their share. */
  readonly drainBackError_m3: number;
  readonly drainBackSeen: number;
  readonly drainBackTrue_m3: number;
  readonly meanInflowError: number | null;
  readonly pumpedError: number | null;
  /** (measured − true) / true; null when the analysis does not know. */
  readonly peakError: Readonly<Record<PeakWindow, number | null>>;
  readonly startError_s: number;
  readonly findings: readonly Finding[];
  readonly missing: readonly string[];
  readonly false: readonly string[];
  readonly highestLevel_m: number;
  readonly perReading_us: number;
}

type Create = (site: Site, options: AnalyzerOptions) => Analyzer;

export function scoreScenario(scenario: TruthScenario, seed: number, createAnalyzer: Create): Score {
  const found = new Map<number, Cycle>();
  const findings = new Map<string, Finding>();
  const analyzer = createAnalyzer(scenario.site, {
    sink: {
      cycle: (cycle) => found.set(cycle.startedAt_s, cycle),
      finding: (finding) => findings.set(`${finding.kind} ${finding.from_s}`, finding),
    },
  });
  const run = playTruth(scenario, seed);
  let readings = 0;
  let analysis_ms = 0;
  for (const batch of inBatches(run.readings, 5000)) {
    const began_ms = performance.now();
    for (const reading of batch) analyzer.push(reading);
    analysis_ms += performance.now() - began_ms;
    readings += batch.length;
  }
  analyzer.finish();
  const truth = run.truth();
  const pairs = matched(truth.cycles, [...found.values()], Math.max(3, 1.5 * scenario.sample_s));
  const summary = analyzer.summary();
  const kinds = new Set([...findings.values()].map((finding) => finding.kind));
  const relative = (measured_lpm: number | null | undefined, true_m3s: number) =>
    measured_lpm == null ? null : measured_lpm / 60_000 / true_m3s - 1;

  return {
    trueCycles: truth.cycles.length,
    foundCycles: found.size,
    recall: pairs.length / truth.cycles.length,
    // the last run may not be complete in the truth: it counts neither way
    precision: pairs.length / Math.max(1, [...found.values()].filter((cycle) => isWithin(cycle, truth.cycles)).length),
    inflow: agreement(pairs.map(([is, said]) => [is.restInflow_m3s, said.inflow])),
    pumpRate: agreement(pairs.map(([is, said]) => [is.pumpRate_m3s, said.pumpRate])),
    drainBackError_m3: mean(
      pairs.flatMap(([is, said]) => (said.drainBack_m3 === null ? [] : [said.drainBack_m3 - is.drainBack_m3])),
    ),
    drainBackSeen: mean(pairs.map(([, said]) => (said.drainBack_m3 === null ? 0 : 1))),
    drainBackTrue_m3: mean(truth.cycles.map((cycle) => cycle.drainBack_m3)),
    meanInflowError: relative(summary.inflow.mean_lpm, truth.meanInflow_m3s),
    pumpedError: summary.totals.pumped_l === null ? null : summary.totals.pumped_l / 1000 / truth.pumped_m3 - 1,
    peakError: {
      60: relative(summary.inflow.peak["60"]?.lpm, truth.peak_m3s["60"]),
      600: relative(summary.inflow.peak["600"]?.lpm, truth.peak_m3s["600"]),
      3600: relative(summary.inflow.peak["3600"]?.lpm, truth.peak_m3s["3600"]),
    },
    startError_s: mean(pairs.map(([is, said]) => said.startedAt_s - is.startedAt_s)),
    findings: [...findings.values()],
    missing: scenario.must.filter((kind) => !kinds.has(kind)),
    false: [...kinds].filter((kind) => !scenario.must.includes(kind) && !scenario.may.includes(kind)),
    highestLevel_m: truth.highestLevel_m,
    perReading_us: (analysis_ms * 1000) / readings,
  };
}

function* inBatches<T>(items: Iterable<T>, size: number): Iterable<T[]> {
  let batch: T[] = [];
  for (const item of items) {
    batch.push(item);
    if (batch.length === size) {
      yield batch;
      batch = [];
    }
  }
  yield batch;
}

/** Pairs each true run with the found one that overlaps it most, allowing for `slack_s` at each end; each once. */
function matched(truth: readonly TrueCycle[], found: readonly Cycle[], slack_s: number): [TrueCycle, Cycle][] {
  const sorted = [...found].sort((a, b) => a.startedAt_s - b.startedAt_s);
  const pairs: [TrueCycle, Cycle][] = [];
  let next = 0;
  for (const is of truth) {
    while (next < sorted.length && (sorted[next]?.stoppedAt_s ?? 0) < is.startedAt_s - slack_s) next++;
    const said = sorted[next];
    if (said !== undefined && said.startedAt_s <= is.stoppedAt_s + slack_s) {
      pairs.push([is, said]);
      next++;
    }
  }
  return pairs;
}

function isWithin(cycle: Cycle, truth: readonly TrueCycle[]): boolean {
  return cycle.startedAt_s <= (truth.at(-1)?.stoppedAt_s ?? 0);
}

function agreement(pairs: readonly (readonly [number | null, FlowEstimate | null])[]): Agreement {
  const known = pairs.filter(([is]) => is !== null && is > 0);
  const both = known.flatMap(([is, said]) => (is === null || said === null ? [] : [{ is, said }]));
  const errors = both.map(({ is, said }) => said.flow_m3s / is - 1);
  const halfWidths = both.map(({ said }) => coverageFactor(said.degreesOfFreedom) * said.uFlow_m3s);
  const covered = both.filter(({ is, said }, i) => Math.abs(said.flow_m3s - is) <= (halfWidths[i] ?? 0));
  return {
    compared: both.length,
    unknown: known.length - both.length,
    bias: mean(errors),
    rms: Math.sqrt(mean(errors.map((error) => error * error))),
    covered: covered.length / Math.max(1, both.length),
    halfWidth: mean(both.map(({ is }, i) => (halfWidths[i] ?? 0) / is)),
  };
}

function mean(values: readonly number[]): number {
  return values.length === 0 ? Number.NaN : values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Student's t for 95 % coverage by its expansion about the normal (Abramowitz and Stegun 26.7.5), not the project's own. */
function coverageFactor(degreesOfFreedom: number): number {
  const z = 1.959964;
  const n = degreesOfFreedom;
  const first = (z ** 3 + z) / (4 * n);
  const second = (5 * z ** 5 + 16 * z ** 3 + 3 * z) / (96 * n ** 2);
  const third = (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / (384 * n ** 3);
  return z + first + second + third;
}
