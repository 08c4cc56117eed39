// Roll-ups: for each day, and each ten minutes of it, the lowest, highest and mean level, and which readings fall into
// it. Kept as readings are put into chunks, in the same transaction.

import type { DatabaseSync } from "node:sqlite";
import type { ChunkTable } from "./chunk-table.ts";
import { addToPart, noParts, part_s, partsOfDay } from "./day-parts.ts";
import { type Day, type DayTable, dayTable } from "./day-table.ts";

export const day_s = part_s * partsOfDay;

export interface Rollups {
  readonly table: DayTable;
  /** Takes the next reading that is being put into a chunk. */
  add(nth: number, time_s: number, level_m: number | null): void;
  /** Writes the days that were added to; inside the transaction that writes the chunk. */
  write(): void;
  /** Writes them where they are many: years of readings in one transaction need bounded memory. */
  writeMany(): void;
  /** Goes back to what the file says, after a transaction that failed. */
  revert(): void;
  /** Makes every day anew from the chunks, of which they are all there. */
  rebuild(): void;
}

export function rollups(database: DatabaseSync, chunks: ChunkTable): Rollups {
  const table = dayTable(database);
  const changed = new Map<number, Day>();
  let current: Day | undefined;

  const dayAt = (day: number, nth: number): Day => {
    const found = changed.get(day) ?? table.get(day) ?? { day, firstNth: nth, lastNth: nth, parts: noParts() };
    changed.set(day, found);
    return found;
  };
  const add = (nth: number, time_s: number, level_m: number | null) => {
    const day = Math.floor(time_s / day_s);
    if (current?.day !== day) current = dayAt(day, nth);
    current.lastNth = nth;
    if (level_m === null || !Number.isFinite(level_m)) return;
    addToPart(current.parts, Math.floor((time_s - day * day_s) / part_s), level_m);
  };
  const write = () => {
    for (const day of changed.values()) table.put(day);
    forget();
  };
  const writeMany = () => {
    if (changed.size > 10) write();
  };
  const forget = () => {
    changed.clear();
    current = undefined;
  };

  return {
    table,
    add,
    write,
    writeMany,
    revert: forget,
    rebuild() {
      forget();
      const firstWhole = Math.floor(chunks.levelHorizon_s() / day_s) + 1;
      table.clear(firstWhole);
      for (const { firstNth, time_s, level_m } of chunks.levels()) {
        for (let i = 0; i < time_s.length; i++) {
          if ((time_s[i] as number) < firstWhole * day_s) continue;
          add(firstNth + i, time_s[i] as number, level_m === null ? null : (level_m[i] as number));
        }
        writeMany();
      }
      write();
    },
  };
}
