// Cycles as rows, one by the start of its run.

import type { DatabaseSync } from "node:sqlite";
import type { Cycle, FlowEstimate, InflowMethod } from "../../../analysis/cycles/cycle.ts";
import type { Span } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { number, numberOrNull, type Row } from "./row.ts";

export interface CycleTable {
  put(cycle: Cycle): void;
  clear(): void;
  /** Those whose run overlaps the span, newest first. */
  within(span: Span, limit: number): Cycle[];
}

export function cycleTable(database: DatabaseSync): CycleTable {
  const put = database.prepare("REPLACE INTO cycle VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
  const clear = database.prepare("DELETE FROM cycle");
  const before = database.prepare("SELECT max(startedAt_s) AS startedAt_s FROM cycle WHERE startedAt_s <= ?");
  const within = database.prepare(
    "SELECT * FROM cycle WHERE startedAt_s BETWEEN ? AND ? AND stoppedAt_s >= ? ORDER BY startedAt_s DESC LIMIT ?",
  );
  return {
    put: (c) => {
      const when = [c.startedAt_s, c.stoppedAt_s, c.run_s, c.rest_s, c.startLevel_m, c.stopLevel_m];
      const inflow = [...flowColumns(c.inflow), c.inflow?.method ?? null];
      put.run(...when, ...inflow, ...flowColumns(c.pumpRate), c.drainBack_m3);
    },
    clear: () => {
      clear.run();
    },
    within(span, limit) {
      // Runs follow one another: of those that began before the span, only the last can reach into it.
      const from_s = numberOrNull(before.get(span.from_s)?.startedAt_s) ?? span.from_s;
      return within.all(from_s, span.to_s, span.from_s, limit).map(cycleOf);
    },
  };
}

function flowColumns(flow: FlowEstimate | null): (number | null)[] {
  return flow === null ? [null, null, null] : [flow.flow_m3s, flow.uFlow_m3s, flow.degreesOfFreedom];
}

function cycleOf(row: Row): Cycle {
  const inflow = flowOf(row.inflow_m3s, row.uInflow_m3s, row.inflowDegreesOfFreedom);
  return {
    startedAt_s: number(row.startedAt_s),
    stoppedAt_s: number(row.stoppedAt_s),
    run_s: number(row.run_s),
    rest_s: numberOrNull(row.rest_s),
    startLevel_m: numberOrNull(row.startLevel_m),
    stopLevel_m: numberOrNull(row.stopLevel_m),
    inflow: inflow === null ? null : { ...inflow, method: methodOf(row.inflowMethod) },
    pumpRate: flowOf(row.pumpRate_m3s, row.uPumpRate_m3s, row.pumpRateDegreesOfFreedom),
    drainBack_m3: numberOrNull(row.drainBack_m3),
  };
}

function flowOf(flow: Row[string] | undefined, uFlow: Row[string] | undefined, freedom: Row[string] | undefined) {
  if (numberOrNull(flow) === null) return null;
  return { flow_m3s: number(flow), uFlow_m3s: number(uFlow), degreesOfFreedom: number(freedom) };
}

function methodOf(value: Row[string] | undefined): InflowMethod {
  if (value === "fill-slope" || value === "active-volume") return value;
  throw new StoreError(`the store holds ${value} where a method of inflow belongs; the file is damaged`);
}
