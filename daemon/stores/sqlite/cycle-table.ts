// Cycles as rows, one by the start of its run.

import type { DatabaseSync } from "node:sqlite";
import * as z from "zod";
import type { Cycle, FlowEstimate, InflowMethod } from "../../../analysis/cycles/cycle.ts";
import { type OtherParts, otherSources } from "../../../analysis/uncertainty/parts.ts";
import type { Span } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { pumpColumns, pumpSideOf, pumpValues } from "./pump-columns.ts";
import { number, numberOrNull, type Row } from "./row.ts";

export interface CycleTable {
  put(cycle: Cycle): void;
  /** Drops those that begin then or later. */
  clear(from_s: number): void;
  /** Those whose run overlaps the span, newest first. */
  within(span: Span, limit: number): Cycle[];
}

const columns = [
  ...["startedAt_s", "stoppedAt_s", "run_s", "rest_s", "startLevel_m", "stopLevel_m"],
  ...["inflow_m3s", "uInflow_m3s", "inflowDegreesOfFreedom", "inflowMethod"],
  ...["pumpRate_m3s", "uPumpRate_m3s", "pumpRateDegreesOfFreedom", "drainBack_m3"],
  ...["inflowParts", "pumpRateParts"],
  ...pumpColumns,
];

export function cycleTable(database: DatabaseSync): CycleTable {
  const put = database.prepare(
    `REPLACE INTO cycle (${columns.join(", ")}) VALUES (${columns.map(() => "?").join(", ")})`,
  );
  const clear = database.prepare("DELETE FROM cycle WHERE startedAt_s >= ?");
  const before = database.prepare("SELECT max(startedAt_s) AS startedAt_s FROM cycle WHERE startedAt_s <= ?");
  const within = database.prepare(
    "SELECT * FROM cycle WHERE startedAt_s BETWEEN ? AND ? AND stoppedAt_s >= ? ORDER BY startedAt_s DESC LIMIT ?",
  );
  return {
    put: (c) => {
      const when = [c.startedAt_s, c.stoppedAt_s, c.run_s, c.rest_s, c.startLevel_m, c.stopLevel_m];
      const inflow = [...flowColumns(c.inflow), c.inflow?.method ?? null];
      const parts = [partsText(c.inflow), partsText(c.pumpRate)];
      put.run(...when, ...inflow, ...flowColumns(c.pumpRate), c.drainBack_m3, ...parts, ...pumpValues(c));
    },
    clear: (from_s) => {
      clear.run(from_s);
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
  const inflow = flowOf(row.inflow_m3s, row.uInflow_m3s, row.inflowDegreesOfFreedom, row.inflowParts);
  return {
    startedAt_s: number(row.startedAt_s),
    stoppedAt_s: number(row.stoppedAt_s),
    run_s: number(row.run_s),
    rest_s: numberOrNull(row.rest_s),
    startLevel_m: numberOrNull(row.startLevel_m),
    stopLevel_m: numberOrNull(row.stopLevel_m),
    inflow: inflow === null ? null : { ...inflow, method: methodOf(row.inflowMethod) },
    pumpRate: flowOf(row.pumpRate_m3s, row.uPumpRate_m3s, row.pumpRateDegreesOfFreedom, row.pumpRateParts),
    drainBack_m3: numberOrNull(row.drainBack_m3),
    ...pumpSideOf(row),
  };
}

type Cell = Row[string] | undefined;

function flowOf(flow: Cell, uFlow: Cell, freedom: Cell, parts: Cell): FlowEstimate | null {
  if (numberOrNull(flow) === null) return null;
  const estimate = { flow_m3s: number(flow), uFlow_m3s: number(uFlow), degreesOfFreedom: number(freedom) };
  return typeof parts === "string" ? { ...estimate, parts: partsOf(parts) } : estimate;
}

function partsText(flow: FlowEstimate | null): string | null {
  return flow?.parts === undefined ? null : JSON.stringify(flow.parts);
}

const partsSchema = z.partialRecord(z.enum(otherSources), z.number());

function partsOf(text: string): OtherParts {
  const read = partsSchema.safeParse(readJson(text));
  if (read.success) return read.data;
  throw new StoreError(`the store holds ${text} where parts of an uncertainty belong; the file is damaged`);
}

function readJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function methodOf(value: Row[string] | undefined): InflowMethod {
  if (value === "fill-slope" || value === "active-volume") return value;
  throw new StoreError(`the store holds ${value} where a method of inflow belongs; the file is damaged`);
}
