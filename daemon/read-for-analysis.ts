// What every command that works off a recording asks for and does first: site file, column map, time zone, the file to
// write; then all rows to whoever takes them, and in words what was put right in them.

import { progressBar } from "./commands/progress-bar.ts";
import { loadSiteFile } from "./config/load-site-file.ts";
import type { SiteFile } from "./config/site-file.ts";
import { localTime } from "./recordings/local-time.ts";
import { readRowsAside } from "./recordings/read-in-thread.ts";
import {
  type ColumnMap,
  parseColumnMap,
  type RecordingOptions,
  type RecordingResult,
} from "./recordings/read-recording.ts";
import type { RowTable } from "./recordings/row-table.ts";
import { reportPathProblem } from "./report/report-path-problem.ts";
import { mendedInWords } from "./report/what-was-mended.ts";

export interface RecordingCommand {
  readonly site: string;
  /** A file to write, which must be none of those that are read. */
  readonly json?: string;
  readonly map?: string;
  readonly timezone?: string;
}

export interface Asked {
  readonly ok: true;
  readonly siteFile: SiteFile;
  /** In place of the site file's. */
  readonly columns: ColumnMap;
  readonly timezone: string | null;
}

export interface AskedWrongly {
  readonly ok: false;
  readonly problems: readonly string[];
}

/** @param recording `-` for standard input; null: the command goes without one */
export function whatIsAsked(
  recording: string | null,
  { site, json, map: mapText, timezone }: RecordingCommand,
): Asked | AskedWrongly {
  const loaded = loadSiteFile(site);
  const map = mapText === undefined ? { ok: true as const, columns: {} } : parseColumnMap(mapText);
  const path = json === undefined ? null : reportPathProblem(json, { recording, site });
  const problems = [
    ...(loaded.ok ? [] : loaded.problems.map(({ text }) => text)),
    ...(map.ok ? [] : [`--map: ${map.problem}`]),
    ...(timezone !== undefined && localTime(timezone) === undefined
      ? [`--timezone: expected a time zone such as America/Toronto, found ${JSON.stringify(timezone)}`]
      : []),
    ...(path === null ? [] : [`--json: ${path}`]),
  ];
  if (!loaded.ok || !map.ok || problems.length > 0) return { ok: false, problems };
  const { siteFile } = loaded;
  const columns = { ...siteFile.recording.columns, ...map.columns };
  return { ok: true, siteFile, columns, timezone: timezone ?? siteFile.recording.timezone };
}

export interface RowTaker {
  push(table: RowTable, from: number, to: number): void;
  /** All rows come again, in order. */
  restart(): void;
}

/**
 * All rows of a recording, with a bar of progress; on standard error, what was put right.
 *
 * @returns null when the recording is bad input: its problems were said, and the exit status is set
 */
export async function readForAnalysis(
  recording: string,
  asked: Asked,
  rows: RowTaker,
): Promise<RecordingResult | null> {
  const name = recording === "-" ? "standard input" : recording;
  const progress = progressBar(name);
  const options: RecordingOptions = {
    columns: asked.columns,
    timezone: asked.timezone,
    missing: asked.siteFile.recording.missing,
    onProgress: progress.show,
    onUnknownColumn: (column) => console.error(`${name}: column "${column}" is no channel and is ignored`),
    onRestart: rows.restart,
  };
  const result = await readRowsAside(recording, options, rows.push).finally(progress.clear);
  if (result.problems.length > 0) {
    refuse(result.problems);
    return null;
  }
  for (const line of mendedInWords(name, result)) console.error(line);
  return result;
}

export function refuse(problems: readonly string[]): void {
  for (const problem of problems) console.error(problem);
  process.exitCode = 2;
}
