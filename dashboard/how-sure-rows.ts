// The budget of a cycle as rows for a person: what may be off, and by how much in the inflow and in the pump's rate. Pure.

import type { Cycle } from "../analysis/cycles/cycle.ts";
import { type Budget, flowBudget } from "../analysis/uncertainty/budget.ts";
import { type UncertaintySource, uncertaintySources } from "../analysis/uncertainty/parts.ts";
import { decimalsFor, fixed, toDisplay, type UnitSystem } from "./format.ts";

export interface HowSureRow {
  readonly what: string;
  /** `0.12 (2 %)`, a half-width of 95 % coverage; an en dash where it plays no part or nothing is known. */
  readonly inflow: string;
  readonly pump: string;
}

const words: Readonly<Record<UncertaintySource, string>> = {
  "sensor-noise": "Noise of the level sensor",
  calibration: "Calibration",
  geometry: "Size of the basin",
  "float-repeatability": "Float, one trip to the next",
  timing: "Time of start and stop",
  "returned-water": "Water that ran back unseen",
};

export function howSureRows({ inflow, pumpRate }: Cycle, system: UnitSystem): HowSureRow[] {
  const budgets = { inflow: inflow && flowBudget(inflow), pump: pumpRate && flowBudget(pumpRate) };
  const row = (what: string, u95Of: (budget: Budget) => number | undefined): HowSureRow => ({
    what,
    inflow: halfWidth(budgets.inflow, u95Of, system),
    pump: halfWidth(budgets.pump, u95Of, system),
  });
  const bySource = uncertaintySources.map((source) =>
    row(words[source], ({ lines }) => lines.find((line) => line.source === source)?.u95),
  );
  return [
    ...bySource.filter(({ inflow, pump }) => inflow !== "–" || pump !== "–"),
    row("All together", ({ u95 }) => u95),
  ];
}

/** Whether anything is in it that errs alike in every cycle: what the site file states of basin and calibration. */
export function isStated({ inflow, pumpRate }: Cycle): boolean {
  return [inflow, pumpRate].some((flow) => flow !== null && flowBudget(flow).lines.some(({ shared }) => shared));
}

function halfWidth(budget: Budget | null, u95Of: (budget: Budget) => number | undefined, system: UnitSystem): string {
  const u95 = budget === null ? undefined : u95Of(budget);
  if (budget === null || u95 === undefined || !Number.isFinite(u95)) return "–";
  const shown = Math.abs(toDisplay(u95, "flow", system));
  const text = fixed(shown, decimalsFor(shown));
  const size = Math.abs(budget.value);
  return size > 0 ? `${text} (${Number(((100 * u95) / size).toPrecision(2))} %)` : text;
}
