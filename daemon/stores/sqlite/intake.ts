// Rows of a recording that go into the database without becoming readings one by one: a year of them in seconds.

import type { ReadingRows } from "../../../analysis/readings/reading-rows.ts";
import { giveReadings, moveRows, type RowTable, rowTable } from "../../recordings/row-table.ts";
import { encodeColumns } from "../chunk/chunk.ts";
import { columnsOfRows } from "../chunk/columns.ts";
import { type Chunk, cutter, mostReadings } from "../chunk/cutter.ts";
import type { Intake } from "../store.ts";

/** @param put takes a chunk, of the first rows of the table */
export function intake(put: (chunk: Chunk, rows: ReadingRows) => void): Intake {
  const cut = cutter();
  let table: RowTable | null = null;

  function cutChunks(waiting: RowTable): void {
    while (cut.isDue(waiting.length)) {
      const chunk = cut.cut(waiting.length, (count) => encodeColumns(columnsOfRows(waiting, count)));
      if (chunk === null) return;
      put(chunk, waiting);
      moveRows(waiting, 0, chunk.count, waiting.length);
      waiting.length -= chunk.count;
    }
  }

  return {
    take(rows, from, to) {
      table ??= rowTable(rows.channels, 2 * mostReadings);
      for (let at = from; at < to; ) {
        const end = Math.min(to, at + table.capacity - table.length);
        addRows(table, rows, at, end);
        at = end;
        cutChunks(table);
      }
    },
    rest(take) {
      if (table !== null) giveReadings(table, 0, table.length, take);
      table = null;
    },
  };
}

function addRows(to: RowTable, { time_ms, columns }: ReadingRows, from: number, end: number): void {
  to.time_ms.set(time_ms.subarray(from, end), to.length);
  for (const [i, column] of columns.entries()) to.columns[i]?.set(column.subarray(from, end), to.length);
  to.length += end - from;
}
