// All tables of the store's file, and what is asked of several at once.

import type { DatabaseSync } from "node:sqlite";
import type { Span } from "../store.ts";
import { checkpointTable } from "./checkpoint-table.ts";
import { cycleTable } from "./cycle-table.ts";
import { findingTable } from "./finding-table.ts";
import { inflowTable } from "./inflow-table.ts";
import { readingTable } from "./reading-table.ts";
import { rollups } from "./rollups.ts";
import type { Waiting } from "./waiting.ts";

export type Tables = ReturnType<typeof openTables>;

export function openTables(database: DatabaseSync) {
  const reading = readingTable(database);
  const rolled = rollups(database, reading);
  const cycle = cycleTable(database);
  const finding = findingTable(database);
  const inflow = inflowTable(database);
  const checkpoint = checkpointTable(database);

  return {
    reading,
    rollups: rolled,
    cycle,
    finding,
    inflow,
    checkpoint,

    /** First and last time among the readings' rows. */
    span(): Span | null {
      const { table, open } = rolled.hours();
      const hours = [table.first(), table.last(), ...open.values()].filter((hour) => hour !== undefined);
      if (hours.length === 0) return null;
      return {
        from_s: Math.min(...hours.map((hour) => hour.from_s)),
        to_s: Math.max(...hours.map((hour) => hour.to_s)),
      };
    },
    putDerived(waiting: Waiting): void {
      for (const item of waiting.cycles.items()) cycle.put(item);
      for (const item of waiting.findings.items()) finding.put(item);
      for (const item of waiting.inflow.items()) inflow.put(item);
      inflow.joinFinished();
      if (waiting.checkpoint !== null) checkpoint.put(waiting.checkpoint);
    },
    clearDerived(): void {
      for (const table of [cycle, finding, inflow, checkpoint]) table.clear();
    },
  };
}
