// The same readings as a row each, in SQLite: what the record's figures are held against.

import { statSync } from "node:fs";
import { DatabaseSync } from "node:sqlite";
import type { Month } from "../month/month.ts";
import { median, type Timed } from "./timing.ts";

export interface RowPerReading {
  readonly perReading_B: number;
  /** Last day into arrays; the whole span's lowest and highest at some 2000 points. */
  readonly day: Timed;
  readonly span: Timed;
}

export function rowPerReading(path: string, month: Month): RowPerReading {
  const database = new DatabaseSync(path);
  database.exec("PRAGMA journal_mode = WAL; PRAGMA synchronous = OFF");
  database.exec("CREATE TABLE reading (time_ms INTEGER PRIMARY KEY, level_m REAL, pumpOn INTEGER) STRICT; BEGIN");
  const insert = database.prepare("INSERT INTO reading VALUES (?, ?, ?)");
  for (let i = 0; i < month.rows; i++) {
    insert.run(month.time_ms[i] ?? 0, (month.level_mm[i] ?? 0) / 1000, month.pumpOn[i] ?? 0);
  }
  database.exec("COMMIT; PRAGMA wal_checkpoint(TRUNCATE)");
  const end_ms = month.time_ms.at(-1) ?? 0;
  const day = database.prepare("SELECT time_ms, level_m FROM reading WHERE time_ms > ?", { returnArrays: true });
  const span = database.prepare("SELECT time_ms / ? AS n, min(level_m), max(level_m) FROM reading GROUP BY n", {
    returnArrays: true,
  });
  const bucket_ms = Math.ceil((month.rows * 1000) / 2000);
  const figures = {
    perReading_B: statSync(path).size / month.rows,
    day: median(() => day.all(end_ms - 86_400_000), 3, { warmUp: 1 }),
    span: median(() => span.all(bucket_ms), 1, { warmUp: 0 }),
  };
  database.close();
  return figures;
}
