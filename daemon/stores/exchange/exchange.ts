// A record written out, as CSV, Parquet or line protocol; and a recording taken into a record.

import { createWriteStream, existsSync, rmSync } from "node:fs";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { createGzip } from "node:zlib";
import { readRowsAside } from "../../recordings/read-in-thread.ts";
import type { RecordingOptions } from "../../recordings/read-recording.ts";
import { cyclePoint, findingPoint, inflowPoint } from "../influx/points.ts";
import { faultInWords, inOneSentence } from "../sqlite/fault.ts";
import { type OpenRecord, readRecord } from "../sqlite/read-record.ts";
import { openSqliteStore } from "../sqlite-store.ts";
import type { Store } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { linesAsParquet, readingsAsParquet } from "./as-parquet.ts";
import { csvLines } from "./csv-lines.ts";
import { cycleColumns, cycleRows, findingColumns, findingRows, inflowColumns, inflowRows } from "./derived-rows.ts";
import { pointLines, readingLines } from "./line-protocol.ts";
import { channelsIn, readingsCsv } from "./readings-csv.ts";

export const exported = ["readings", "cycles", "findings", "inflow"] as const;

export interface Export {
  readonly what: (typeof exported)[number];
  /**
   * A new file; its ending says as what: `.parquet`, `.lp` (line protocol of a time-series database), else CSV. Gzipped
   * where it ends in `.gz`.
   */
  readonly file: string;
  /** What the line protocol calls the basin. */
  readonly basin: string;
}

/** @returns whether there was anything to write */
export async function exportRecord(path: string, { what, file, basin }: Export): Promise<boolean> {
  const record = readRecord(path);
  try {
    if (existsSync(file)) throw new StoreError(`${file} is there already; expected the name of a new file`);
    if (file.endsWith(".parquet")) await writeAsParquet(file, record, what);
    else if (/\.lp(\.gz)?$/.test(file)) await write(file, linesOf(record, what, basin));
    else await write(file, csvOf(record, what));
    for (const _ of record[what]()) return true;
    return false;
  } finally {
    record.close();
  }
}

function csvOf(record: OpenRecord, what: Export["what"]): Iterable<string> {
  switch (what) {
    case "readings":
      return readingsCsv(record.readings(), channelsIn(record.readings()));
    case "cycles":
      return csvLines(cycleColumns, cycleRows(record.cycles()));
    case "findings":
      return csvLines(findingColumns, findingRows(record.findings()));
    case "inflow":
      return csvLines(inflowColumns, inflowRows(record.inflow()));
  }
}

function linesOf(record: OpenRecord, what: Export["what"], basin: string): Iterable<string> {
  switch (what) {
    case "readings":
      return readingLines(record.readings(), basin);
    case "cycles":
      return pointLines(record.cycles(), (cycle) => cyclePoint(basin, cycle));
    case "findings":
      return pointLines(record.findings(), (finding) => findingPoint(basin, finding));
    case "inflow":
      return pointLines(record.inflow(), (stretch) => inflowPoint(basin, stretch));
  }
}

async function writeAsParquet(file: string, record: OpenRecord, what: Export["what"]): Promise<void> {
  try {
    if (what === "readings") await readingsAsParquet(file, record.readings());
    else await linesAsParquet(file, csvOf(record, what));
  } catch (error) {
    rmSync(file, { force: true });
    throw error;
  }
}

/**
 * Takes a recording into a record, which is made where there is none: after what is there already, and all of it or
 * nothing.
 * @returns how many readings, or what is wrong with the recording, in a line each
 * @throws {StoreError} when the disk does not take it
 */
export async function importRecording(
  path: string,
  recording: string,
  options: RecordingOptions = {},
): Promise<{ readonly readings: number } | { readonly problems: readonly string[] }> {
  const isNew = !existsSync(path);
  const store = openSqliteStore(path);
  let done: Awaited<ReturnType<typeof takeIn>> | null = null;
  try {
    done = await takeIn(store, recording, options);
    return done;
  } catch (error) {
    throw inOneSentence(path, error, "nothing of the recording was taken in");
  } finally {
    store.close();
    if (isNew && (done === null || "problems" in done)) removeRecord(path);
  }
}

/** With its log, which the next record of that name would take for its own. */
function removeRecord(path: string): void {
  for (const part of ["", "-wal", "-shm", ".recent", ".seconds"]) rmSync(path + part, { force: true });
}

async function takeIn(store: Store, recording: string, options: RecordingOptions) {
  const before = store.readingCount();
  const end_s = store.span()?.to_s ?? Number.NEGATIVE_INFINITY;
  const tooEarly: string[] = [];
  let intake = store.intake();
  let isFirst = true;
  // Rows come in order of time; where that needs all of them, they come once more, from the first on.
  const onRestart = () => {
    intake.abandon();
    intake = store.intake();
    isFirst = true;
  };
  try {
    const { problems } = await readRowsAside(recording, { ...options, onRestart }, (table, from, to) => {
      if (to === from) return;
      const first_s = (table.time_ms[from] as number) / 1000;
      if (isFirst && first_s <= end_s) tooEarly.push(beginsTooEarly(recording, first_s, end_s));
      isFirst = false;
      if (tooEarly.length === 0) intake.take(table, from, to);
    });
    const found = problems.length > 0 ? problems : tooEarly.slice(-1);
    if (found.length > 0) intake.abandon();
    else intake.end();
    return found.length > 0 ? { problems: found } : { readings: store.readingCount() - before };
  } catch (error) {
    intake.abandon();
    throw error;
  }
}

function beginsTooEarly(recording: string, first_s: number, end_s: number): string {
  const [begins, ends] = [first_s, end_s].map((time_s) => new Date(time_s * 1000).toISOString());
  return `${recording} begins at ${begins}, and the record ends at ${ends}; expected what comes after`;
}

async function write(file: string, lines: Iterable<string>): Promise<void> {
  try {
    const to = createWriteStream(file, { flags: "wx" });
    if (file.endsWith(".gz")) await pipeline(Readable.from(lines), createGzip(), to);
    else await pipeline(Readable.from(lines), to);
  } catch (error) {
    rmSync(file, { force: true });
    throw new StoreError(`${file}: ${faultInWords(error) ?? String(error)}`, { cause: error });
  }
}
