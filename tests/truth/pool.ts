// Pools the scores of a scenario's seeds into one row of figures.

import { type Agreement, pooled, shareInterval } from "./agreement.ts";
import type { Alarm, TrueEvent } from "./judge-findings.ts";
import type { Scenario } from "./scenario.ts";
import type { Score, Thrown, TwoScored } from "./score.ts";

export interface FlowRow {
  readonly compared: number;
  readonly unsaidShare: number;
  /** Mean of (found − true) / true, and the standard deviation about it. */
  readonly bias: number;
  readonly sd: number;
  /** How well the bias itself is known. */
  readonly uBias: number;
  readonly covered: number;
  readonly coverage: ReturnType<typeof shareInterval>;
  readonly halfWidth: number;
}

export interface Row {
  readonly scenario: Scenario;
  readonly seeds: number;
  readonly span_s: number;
  readonly trueCycles: number;
  readonly recall: number;
  readonly precision: number;
  /** Median of the error's size. */
  readonly start_s: number;
  readonly stop_s: number;
  readonly inflow: FlowRow;
  /** Root mean square of error over bound, and how many fills made it; null where there is no bound. */
  readonly overBound: { readonly rms: number; readonly fills: number } | null;
  readonly pumpRate: FlowRow;
  readonly returned_l: number;
  readonly returnError_l: number;
  /** Of the seeds, the one farthest off. */
  readonly mean: number | null;
  readonly pumped: number | null;
  readonly peaks: Readonly<Record<"60" | "600" | "3600", number | null>>;
  /** Of two pumps, over all seeds; null of one. */
  readonly pumps: TwoPumpsRow | null;
  readonly events: readonly (TrueEvent & { readonly seed: number })[];
  readonly falseAlarms: readonly (Alarm & { readonly seed: number })[];
  readonly problems: readonly string[];
  readonly thrown: readonly Thrown[];
}

export interface TwoPumpsRow {
  readonly trueStarts: readonly [number, number];
  /** As they were counted. */
  readonly starts: readonly [number, number];
  /** Of the first, the second and both: of the seeds, the one farthest off; null where nothing is ever said. */
  readonly rates: readonly (number | null)[];
}

export function pool(scenario: Scenario, results: readonly (Score | Thrown)[]): Row {
  const scores = results.filter((result): result is Score => !("threw" in result));
  const sum = (of: (score: Score) => number) => scores.reduce((total, score) => total + of(score), 0);
  const matched = sum((score) => score.matched);
  const overBound = scores.flatMap((score) => score.overBound);
  const farthest = (of: (score: Score) => number | null) => farthestOf(scores.map(of));
  return {
    scenario,
    seeds: scores.length,
    span_s: sum((score) => score.span_s),
    trueCycles: sum((score) => score.trueCycles),
    recall:
      matched /
      Math.max(
        1,
        sum((score) => score.trueCycles),
      ),
    precision:
      matched /
      Math.max(
        1,
        sum((score) => score.foundCycles),
      ),
    start_s: medianSize(scores.flatMap((score) => score.startErrors_s)),
    stop_s: medianSize(scores.flatMap((score) => score.stopErrors_s)),
    inflow: flowRow(pooled(scores.map((score) => score.inflow))),
    overBound:
      overBound.length === 0
        ? null
        : { rms: Math.sqrt(meanOf(overBound.map((error) => error * error))), fills: overBound.length },
    pumpRate: flowRow(pooled(scores.map((score) => score.pumpRate))),
    returned_l: sum((score) => score.returned_l) / Math.max(1, scores.length),
    returnError_l: meanOf(scores.flatMap((score) => score.returnErrors_l)),
    mean: farthest((score) => score.mean),
    pumped: farthest((score) => score.pumped),
    peaks: {
      60: farthest((score) => score.peaks["60"]),
      600: farthest((score) => score.peaks["600"]),
      3600: farthest((score) => score.peaks["3600"]),
    },
    pumps: twoPumpsRow(scores.flatMap(({ pumps }) => (pumps === null ? [] : [pumps]))),
    events: scores.flatMap(({ seed, findings }) => findings.events.map((event) => ({ ...event, seed }))),
    falseAlarms: scores.flatMap(({ seed, findings }) => findings.falseAlarms.map((alarm) => ({ ...alarm, seed }))),
    problems: scores.flatMap(({ seed, problems }) => problems.map((problem) => `seed ${seed}: ${problem}`)),
    thrown: results.filter((result): result is Thrown => "threw" in result),
  };
}

function farthestOf(values: readonly (number | null)[]): number | null {
  return values.reduce((worst, value) => (Math.abs(value ?? 0) > Math.abs(worst ?? -1e-12) ? value : worst), null);
}

function twoPumpsRow(all: readonly TwoScored[]): TwoPumpsRow | null {
  if (all.length === 0) return null;
  const sum = (of: (one: TwoScored) => number) => all.reduce((total, one) => total + of(one), 0);
  return {
    trueStarts: [sum(({ trueStarts }) => trueStarts[0]), sum(({ trueStarts }) => trueStarts[1])],
    starts: [sum(({ starts }) => starts[0] ?? 0), sum(({ starts }) => starts[1] ?? 0)],
    rates: [0, 1, 2].map((i) => farthestOf(all.map(({ rates }) => rates[i] ?? null))),
  };
}

function flowRow({ known, unsaid, covered, sum, squares, halfWidths }: Agreement): FlowRow {
  const compared = known - unsaid;
  const bias = sum / compared;
  const sd = Math.sqrt(Math.max(0, squares / compared - bias * bias));
  return {
    compared,
    unsaidShare: known === 0 ? 0 : unsaid / known,
    bias,
    sd,
    uBias: sd / Math.sqrt(compared),
    covered: covered / compared,
    coverage: shareInterval(covered, compared),
    halfWidth: halfWidths / compared,
  };
}

export function medianSize(values: readonly number[]): number {
  return medianOf(values.map(Math.abs));
}

export function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? Number.NaN;
}

function meanOf(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0) / values.length;
}
