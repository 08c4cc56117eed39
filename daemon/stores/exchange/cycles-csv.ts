// Cycles as CSV, in the words and units of the report.

import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import { reportCycle } from "../../../analysis/report/summarize.ts";

type Cell = string | number | null;

export function* cyclesCsv(cycles: Iterable<Cycle>): Generator<string> {
  let first = true;
  for (const cycle of cycles) {
    const row = rowOf(cycle);
    if (first) yield `${Object.keys(row).join(",")}\n`;
    first = false;
    yield `${Object.values(row)
      .map((value) => value ?? "")
      .join(",")}\n`;
  }
}

/** A key of the report that holds others gives a column for each: `inflow_lpm`, `pump_rate_u95_lpm`. */
function rowOf(cycle: Cycle): Record<string, Cell> {
  const { inflow, pump_rate, pumps, ...plain } = reportCycle(cycle);
  return {
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
