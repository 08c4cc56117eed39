// All tables of the store's file, and what is asked of several at once.

import type { DatabaseSync } from "node:sqlite";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { columnOf, type ReadingRows } from "../../../analysis/readings/reading-rows.ts";
import type { Chunk } from "../chunk/cutter.ts";
import { channelRetention, type Kept, longestKept_s } from "./channel-retention.ts";
import { checkpointTable } from "./checkpoint-table.ts";
import { chunkLevels } from "./chunk-levels.ts";
import { chunkTable } from "./chunk-table.ts";
import { cycleTable } from "./cycle-table.ts";
import { findingTable } from "./finding-table.ts";
import { forwardTable } from "./forward-table.ts";
import { inflowTable } from "./inflow-table.ts";
import { putBackTable } from "./put-back-table.ts";
import { recordTable } from "./record-table.ts";
import { rollups } from "./rollups.ts";
import type { Waiting } from "./waiting.ts";

export type Tables = ReturnType<typeof openTables>;

export function openTables(database: DatabaseSync) {
  const chunk = chunkTable(database);
  const rolled = rollups(database, chunk);
  const record = recordTable(database);
  const cycle = cycleTable(database);
  const finding = findingTable(database);
  const inflow = inflowTable(database);
  const checkpoint = checkpointTable(database);
  const forward = forwardTable(database);
  const putBack = putBackTable(database);
  const retention = channelRetention(database);

  return {
    chunk,
    chunkLevels: chunkLevels(chunk),
    rollups: rolled,
    record,
    cycle,
    finding,
    inflow,
    checkpoint,
    forward,
    putBack,

    /** The first of the readings, as these chunks, rolled up. */
    putChunks(firstNth: number, readings: readonly Reading[], chunks: readonly Chunk[]): void {
      let at = 0;
      for (const made of chunks) {
        const some = readings.slice(at, at + made.count);
        record.widen(chunk.put(firstNth + at, some, made));
        for (let i = 0; i < made.count; i++) {
          const { time_s, level_m } = some[i] as Reading;
          rolled.add(firstNth + at + i, time_s, level_m);
        }
        at += made.count;
      }
      rolled.write();
    },
    /** The same of the first rows of a recording; `endRows` follows on the last. */
    putRows(firstNth: number, rows: ReadingRows, made: Chunk): void {
      record.widen(chunk.putRows(firstNth, rows.time_ms, made));
      const level_m = columnOf(rows, "level_m");
      for (let i = 0; i < made.count; i++) {
        rolled.add(firstNth + i, (rows.time_ms[i] as number) / 1000, level_m === null ? null : (level_m[i] as number));
      }
      rolled.writeMany();
    },
    endRows: rolled.write,
    putDerived(waiting: Waiting): void {
      for (const item of waiting.cycles.items()) cycle.put(item);
      for (const item of waiting.findings.items()) finding.put(item);
      for (const item of waiting.inflow.items()) inflow.put(item);
      inflow.joinFinished();
      if (waiting.checkpoint !== null) checkpoint.put(waiting.checkpoint);
    },
    /** At the end of a transaction that has put something derived. */
    writeDerived: inflow.write,
    /** Goes back to what the file says, after a transaction that failed. */
    revert(): void {
      rolled.revert();
      inflow.revert();
    },
    /** As far as the readings that it was derived from are there. */
    clearDerived(): void {
      const horizon_s = chunk.horizon_s();
      for (const table of [cycle, finding, inflow]) table.clear(horizon_s);
      checkpoint.clear();
      forward.deriveAnew(horizon_s);
    },
    /** Drops what is older than so long before the newest readings, and gives the room back, some of it at a time. */
    forgetOlderThan(kept: Kept, keepInflow_s: number): void {
      const newest_s = chunk.newest_s();
      chunk.dropBefore(newest_s - longestKept_s(kept));
      retention.dropOlder(kept, newest_s);
      inflow.dropBefore(newest_s - keepInflow_s);
    },
  };
}
