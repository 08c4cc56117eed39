// The same readings as Parquet with zstd, written by DuckDB: times and levels as whole numbers, which it packs best.

import { statSync } from "node:fs";
import { writeParquet } from "../../../daemon/stores/exchange/parquet.ts";
import type { Month } from "../month/month.ts";

/** Bytes a reading. */
export async function asParquet(month: Month, file: string): Promise<number> {
  await writeParquet(file, { time_ms: "BIGINT", level_tenths: "INTEGER", pump_on: "BOOLEAN" }, rows(month));
  return statSync(file).size / month.rows;
}

function* rows({ rows, time_ms, level_mm, pumpOn }: Month): Generator<string> {
  let lines = "";
  for (let i = 0; i < rows; i++) {
    lines += `${time_ms[i]},${Math.round((level_mm[i] ?? 0) * 10)},${pumpOn[i] === 1}\n`;
    if (lines.length < 65_536) continue;
    yield lines;
    lines = "";
  }
  yield lines;
}
