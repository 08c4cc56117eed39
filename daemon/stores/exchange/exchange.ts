// A record written out as CSV, and a recording taken into a record.

import { createWriteStream, existsSync, rmSync } from "node:fs";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { createGzip } from "node:zlib";
import { type RecordingOptions, readRecording } from "../../recordings/read-recording.ts";
import { faultInWords } from "../sqlite/fault.ts";
import { readRecord } from "../sqlite/read-record.ts";
import { openSqliteStore } from "../sqlite-store.ts";
import { StoreError } from "../store-error.ts";
import { cyclesCsv } from "./cycles-csv.ts";
import { channelsIn, readingsCsv } from "./readings-csv.ts";

/** @param file a new file; gzipped where its name ends in .gz */
export async function exportRecord(path: string, what: "readings" | "cycles", file: string): Promise<void> {
  const record = readRecord(path);
  try {
    const lines =
      what === "cycles" ? cyclesCsv(record.cycles()) : readingsCsv(record.readings(), channelsIn(record.readings()));
    await write(file, lines);
  } finally {
    record.close();
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
  const looked = await readRecording(recording, options, ({ time_s }) => {
    first_s = Math.min(first_s, time_s);
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
    await readRecording(recording, options, (reading) => store.append(reading));
    return { readings: store.readingCount() - before };
  } finally {
    store.close();
  }
}

async function write(file: string, lines: Iterable<string>): Promise<void> {
  if (existsSync(file)) throw new StoreError(`${file} is there already; expected the name of a new file`);
  try {
    const to = createWriteStream(file, { flags: "wx" });
    if (file.endsWith(".gz")) await pipeline(Readable.from(lines), createGzip(), to);
    else await pipeline(Readable.from(lines), to);
  } catch (error) {
    rmSync(file, { force: true });
    throw new StoreError(`${file}: ${faultInWords(error) ?? String(error)}`, { cause: error });
  }
}
