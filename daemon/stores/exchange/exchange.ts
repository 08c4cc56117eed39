// A record written out, as CSV, Parquet or line protocol; and a recording taken into a record.

import { createWriteStream, existsSync, rmSync } from "node:fs";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { createGzip } from "node:zlib";
import { readRowsAside } from "../../recordings/read-in-thread.ts";
import type { RecordingOptions } from "../../recordings/read-recording.ts";
import { faultInWords } from "../sqlite/fault.ts";
import { type OpenRecord, readRecord } from "../sqlite/read-record.ts";
import { openSqliteStore } from "../sqlite-store.ts";
import type { Intake, Store } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { cyclesAsParquet, readingsAsParquet } from "./as-parquet.ts";
import { cyclesCsv } from "./cycles-csv.ts";
import { cycleLines, readingLines } from "./line-protocol.ts";
import { channelsIn, readingsCsv } from "./readings-csv.ts";

export interface Export {
  readonly what: "readings" | "cycles";
  /**
   * A new file; its ending says as what: `.parquet`, `.lp` (line protocol of a time-series database), else CSV. Gzipped
   * where it ends in `.gz`.
   */
  readonly file: string;
  /** What the line protocol calls the basin. */
  readonly basin: string;
}

export async function exportRecord(path: string, { what, file, basin }: Export): Promise<void> {
  const record = readRecord(path);
  try {
    if (existsSync(file)) throw new StoreError(`${file} is there already; expected the name of a new file`);
    if (file.endsWith(".parquet")) await writeAsParquet(file, record, what);
    else if (/\.lp(\.gz)?$/.test(file)) await write(file, linesOf(record, what, basin));
    else await write(file, csvOf(record, what));
  } finally {
    record.close();
  }
}

function csvOf(record: OpenRecord, what: Export["what"]): Iterable<string> {
  if (what === "cycles") return cyclesCsv(record.cycles());
  return readingsCsv(record.readings(), channelsIn(record.readings()));
}

function linesOf(record: OpenRecord, what: Export["what"], basin: string): Iterable<string> {
  return what === "cycles" ? cycleLines(record.cycles(), basin) : readingLines(record.readings(), basin);
}

async function writeAsParquet(file: string, record: OpenRecord, what: Export["what"]): Promise<void> {
  try {
    if (what === "cycles") await cyclesAsParquet(file, cyclesCsv(record.cycles()));
    else await readingsAsParquet(file, record.readings());
  } catch (error) {
    rmSync(file, { force: true });
    throw error;
  }
}

/**
 * Takes a recording into a record, which is made where there is none; all of it after what is there already.
 * @returns how many readings, or what is wrong with the recording, in a line each
 */
export async function importRecording(
  path: string,
  recording: string,
  options: RecordingOptions = {},
): Promise<{ readonly readings: number } | { readonly problems: readonly string[] }> {
  // Gone through before anything is taken: a recording with a problem changes nothing.
  let first_s = Number.POSITIVE_INFINITY;
  const looked = await readRowsAside(recording, { ...options, onRestart: () => {} }, ({ time_ms }, from, to) => {
    for (let row = from; row < to; row++) first_s = Math.min(first_s, (time_ms[row] as number) / 1000);
  });
  if (looked.problems.length > 0) return { problems: looked.problems };
  const store = openSqliteStore(path);
  try {
    const end_s = store.span()?.to_s ?? Number.NEGATIVE_INFINITY;
    if (first_s <= end_s) {
      const [begins, ends] = [first_s, end_s].map((time_s) => new Date(time_s * 1000).toISOString());
      return {
        problems: [`${recording} begins at ${begins}, and the record ends at ${ends}; expected what comes after`],
      };
    }
    const before = store.readingCount();
    await takeIn(path, store, (take) => {
      // In such disorder that all must be sorted, they come again from the first on: only then are they taken.
      let taking = !looked.sorted;
      return readRowsAside(recording, { ...options, onRestart: () => (taking = true) }, (table, from, to) => {
        if (taking && to > from) take(table, from, to);
      });
    });
    return { readings: store.readingCount() - before };
  } finally {
    store.close();
  }
}

/** @throws {StoreError} when the disk does not take it */
async function takeIn(path: string, store: Store, read: (take: Intake["take"]) => Promise<unknown>): Promise<void> {
  try {
    const { take, rest } = store.intake();
    await read(take);
    rest(store.append);
    store.flush();
  } catch (error) {
    const words = faultInWords(error);
    throw words === null ? error : notAll(path, store, words, error);
  }
  const { state, error } = store.health();
  if (state === "holding") throw notAll(path, store, error ?? "the disk does not take it");
}

function notAll(path: string, store: Store, words: string, cause?: unknown): StoreError {
  const end = new Date((store.span()?.to_s ?? 0) * 1000).toISOString();
  return new StoreError(`${path}: ${words}; the recording was taken in up to about ${end}`, { cause });
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
