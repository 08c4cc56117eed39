// The uncertainty budget for a person at the command line: one row a figure, one column a source, half-widths of 95 %
// intervals in per cent of the figure.

import type { OverAllBudget, ReportBudget } from "../../analysis/report/report-budget.ts";
import { uncertaintySources } from "../../analysis/uncertainty/parts.ts";
import { wrapped } from "./wrapped.ts";

export function budgetInWords(budget: OverAllBudget): string {
  const { mean_inflow, peak, pump_rate, pumped, margin } = budget;
  const rows: readonly (readonly [string, ReportBudget | null])[] = [
    ["mean inflow", mean_inflow],
    ["highest over a minute", peak["60"]],
    ["highest over ten minutes", peak["600"]],
    ["highest over an hour", peak["3600"]],
    ["the pump moves", pump_rate],
    ["pumped", pumped],
    ["pump over ten minutes' peak", margin],
  ];
  const known = rows.flatMap(([name, budget]) => (budget === null ? [] : [[name, ...cells(budget)]]));
  if (known.length === 0) return "\nHow sure\n  nothing was measured yet";
  const lines = [...table([["± % (95 %)", ...uncertaintySources, "all"], ...known]), ...notes(budget)];
  return ["\nHow sure", ...lines.flatMap((line) => wrapped(line.trimEnd()))].join("\n");
}

function cells({ components, value, u95 }: ReportBudget): string[] {
  const bySource = uncertaintySources.map((source) => components.find((line) => line.source === source)?.u95_percent);
  const all = u95 === null || value === 0 ? null : (100 * u95) / Math.abs(value);
  return [...bySource, all].map((percent) => (percent == null ? "–" : String(Number(percent.toPrecision(2)))));
}

function table(rows: readonly (readonly string[])[]): string[] {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => row[column]?.length ?? 0)));
  return rows.map((row) =>
    row.map((cell, i) => (i === 0 ? cell.padEnd(widths[i] ?? 0) : cell.padStart(widths[i] ?? 0))).join("  "),
  );
}

function notes({ inputs }: OverAllBudget): string[] {
  const from = (origin: string) => inputs.filter((input) => input.origin === origin).map(({ key }) => key);
  const [stated = [], assumed = []] = [from("stated"), from("assumed")];
  return [
    stated.length > 0
      ? `As stated: ${stated.join(", ")}. Calibration and geometry err alike in every cycle and do not average away.`
      : "The site file states nothing of calibration and geometry (measurement:): they are left out, not taken as exact.",
    ...(assumed.length > 0 ? [`Assumed, common practice without a source: ${assumed.join(", ")}.`] : []),
    "In the pump over the peak, both as measured in this basin, calibration and geometry cancel.",
  ];
}
