// The uncertainty budgets as the report gives them on demand: each figure's standard uncertainty source by source, in the
// units of the contract.

import type { Cycle, FlowEstimate } from "../cycles/cycle.ts";
import { type Budget, flowBudget } from "../uncertainty/budget.ts";
import type { BudgetInput } from "../uncertainty/budget-inputs.ts";
import type { UncertaintySource } from "../uncertainty/parts.ts";
import type { OverAll } from "./over-all.ts";
import type { ReportCycle } from "./report.ts";
import { reportCycle, rounded } from "./summarize.ts";

export interface ReportBudgetLine {
  readonly source: UncertaintySource;
  /** A: from the scatter of the readings; B: stated in the site file, or assumed. */
  readonly type: "A" | "B";
  /** Standard uncertainty that it adds, in the unit of the figure: sensitivity times that of the input. */
  readonly u: number;
  /** The same as a half-width of 95 % coverage, by itself, in per cent of the figure; null of a figure that is 0. */
  readonly u95_percent: number | null;
  /** Null: infinitely many. */
  readonly degrees_of_freedom: number | null;
  /** The same error in every cycle: it does not average away. */
  readonly shared: boolean;
}

export interface ReportBudget {
  readonly unit: "L/min" | "L" | "1";
  readonly value: number;
  /** Combined standard uncertainty; null where not all of its components are known. */
  readonly u: number | null;
  readonly degrees_of_freedom: number | null;
  readonly coverage_factor: number | null;
  readonly u95: number | null;
  readonly components: readonly ReportBudgetLine[];
}

export interface CycleBudget {
  readonly inflow: ReportBudget | null;
  readonly pump_rate: ReportBudget | null;
  /** What is stated of basin and sensor alone: how the noise blurs a single return is not known. */
  readonly drain_back: ReportBudget | null;
}

export interface ReportBudgetInput {
  /** Key of the site file. */
  readonly key: string;
  readonly u: number;
  readonly unit: BudgetInput["unit"];
  /** Share of every volume and flow that one unit of it makes; null where it differs from cycle to cycle. */
  readonly sensitivity: number | null;
  /** `assumed`: common practice, no source. `learned`: from where a read level stood at the trips; it counts without one. */
  readonly origin: BudgetInput["origin"];
}

export interface OverAllBudget {
  readonly inputs: readonly ReportBudgetInput[];
  readonly mean_inflow: ReportBudget | null;
  readonly peak: Readonly<Record<"60" | "600" | "3600", ReportBudget | null>>;
  /** As learned from the latest runs. */
  readonly pump_rate: ReportBudget | null;
  readonly pumped: ReportBudget | null;
  /** Of a measured rate over a measured peak: what is wrong with basin and sensor alike cancels. Null by a pump's curve. */
  readonly margin: ReportBudget | null;
}

/** A cycle of the report with its budgets. */
export function cycleWithBudget(cycle: Cycle): ReportCycle & { readonly budget: CycleBudget } {
  return { ...reportCycle(cycle), budget: cycleBudget(cycle) };
}

export function cycleBudget(cycle: Cycle): CycleBudget {
  return { inflow: flow(cycle.inflow), pump_rate: flow(cycle.pumpRate), drain_back: drainBackBudget(cycle) };
}

/** Of the same basin by the same sensor as the cycle's flows, so that what those share of either it shares too. */
function drainBackBudget({ inflow, pumpRate, drainBack_m3 }: Cycle): ReportBudget | null {
  const like = pumpRate ?? inflow;
  if (drainBack_m3 === null || like === null) return null;
  const ofFlow = flowBudget(like);
  const lines = ofFlow.lines.filter(({ shared }) => shared);
  const scale = like.flow_m3s === 0 ? 0 : Math.abs(drainBack_m3 / like.flow_m3s);
  const scaled = lines.map((line) => ({ ...line, u: line.u * scale, u95: line.u95 * scale }));
  const unknown = { u: null, degrees_of_freedom: null, coverage_factor: null, u95: null };
  return { ...inUnit({ ...ofFlow, value: drainBack_m3, lines: scaled }, "L", 1000), ...unknown };
}

export function overAllBudget(figures: OverAll & { readonly inputs: readonly BudgetInput[] }): OverAllBudget {
  const { inputs, mean, peaks, pumpRate, pumped, margin } = figures;
  const [minute = null, tenMinutes = null, hour = null] = peaks;
  return {
    inputs: inputs.map((input) => ({
      ...input,
      u: rounded(input.u),
      sensitivity: input.sensitivity === null ? null : rounded(input.sensitivity),
    })),
    mean_inflow: flow(mean),
    peak: { "60": flow(minute), "600": flow(tenMinutes), "3600": flow(hour) },
    pump_rate: flow(pumpRate),
    pumped: pumped && inUnit(pumped, "L", 1000),
    margin: margin && inUnit(margin, "1", 1),
  };
}

function flow(estimate: FlowEstimate | null): ReportBudget | null {
  return estimate && inUnit(flowBudget(estimate), "L/min", 60_000);
}

function inUnit(budget: Budget, unit: ReportBudget["unit"], factor: number): ReportBudget {
  const size = Math.abs(budget.value);
  return {
    unit,
    value: rounded(budget.value * factor),
    u: rounded(budget.u * factor),
    degrees_of_freedom: finite(budget.degreesOfFreedom),
    coverage_factor: finite(budget.coverageFactor),
    u95: finite(budget.u95 * factor),
    components: budget.lines.map((line) => ({
      source: line.source,
      type: line.type,
      u: rounded(line.u * factor),
      u95_percent: size > 0 ? finite((100 * line.u95) / size) : null,
      degrees_of_freedom: finite(line.degreesOfFreedom),
      shared: line.shared,
    })),
  };
}

function finite(value: number): number | null {
  return Number.isFinite(value) ? rounded(value) : null;
}
