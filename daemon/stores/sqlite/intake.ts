// Rows of a recording that go into the database without becoming readings one by one: a year of them in seconds. All are
// one transaction, so that a recording with a problem at its end, or a disk that is too small for it, leaves nothing.

import type { ReadingRows } from "../../../analysis/readings/reading-rows.ts";
import { moveRows, type RowTable, rowTable } from "../../recordings/row-table.ts";
import { encodeColumns } from "../chunk/chunk.ts";
import { columnsOfRows } from "../chunk/columns.ts";
import { type Chunk, cutter, mostReadings } from "../chunk/cutter.ts";
import type { Intake } from "../store.ts";

export interface RowsInto {
  /** Takes a chunk, of the first rows of the table. */
  put(chunk: Chunk, rows: ReadingRows): void;
  commit(): void;
  rollback(): void;
}

export function intake({ put, commit, rollback }: RowsInto): Intake {
  const cut = cutter();
  let table: RowTable | null = null;

  function putFirst(waiting: RowTable, chunk: Chunk): void {
    put(chunk, waiting);
    moveRows(waiting, 0, chunk.count, waiting.length);
    waiting.length -= chunk.count;
  }

  function cutChunks(waiting: RowTable): void {
    while (cut.isDue(waiting.length)) {
      const chunk = cut.cut(waiting.length, (count) => encodeColumns(columnsOfRows(waiting, count)));
      if (chunk === null) return;
      putFirst(waiting, chunk);
    }
  }

  function orNothing(work: () => void): void {
    try {
      work();
    } catch (error) {
      rollback();
      throw error;
    }
  }

  return {
    take(rows, from, to) {
      orNothing(() => {
        table ??= rowTable(rows.channels, 2 * mostReadings);
        for (let at = from; at < to; ) {
          const end = Math.min(to, at + table.capacity - table.length);
          addRows(table, rows, at, end);
          at = end;
          cutChunks(table);
        }
      });
    },
    end() {
      orNothing(() => {
        if (table !== null && table.length > 0) {
          putFirst(table, { count: table.length, bytes: encodeColumns(columnsOfRows(table, table.length)) });
        }
        commit();
      });
    },
    abandon: rollback,
  };
}

function addRows(to: RowTable, { time_ms, columns }: ReadingRows, from: number, end: number): void {
  to.time_ms.set(time_ms.subarray(from, end), to.length);
  for (const [i, column] of columns.entries()) to.columns[i]?.set(column.subarray(from, end), to.length);
  to.length += end - from;
}
