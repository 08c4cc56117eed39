// The report as a file: cycles are written as they come, so that a year of them needs no memory; the file takes its
// name only when it is whole.

import { closeSync, ftruncateSync, openSync, renameSync, rmSync, statSync, writeSync } from "node:fs";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import { type ReportSummary, reportSchema } from "../../analysis/report/report.ts";
import { reportCycle } from "../../analysis/report/summarize.ts";

export interface ReportFile {
  add(cycle: Cycle): void;
  /** Forgets the cycles so far. */
  restart(): void;
  /** Writes the rest and gives the file its name. */
  finish(summary: ReportSummary, further: Readonly<Record<string, unknown>>): void;
  /** Leaves nothing behind. */
  discard(): void;
}

const bufferLength = 1 << 16;

/** @throws the file system's error when the folder cannot be written to */
export function openReportFile(path: string): ReportFile {
  // The name is given at the end, and then it would be too late to learn that a folder has it.
  if (statSync(path, { throwIfNoEntry: false })?.isDirectory()) {
    throw Object.assign(new Error(`${path} is a folder`), { code: "EISDIR" });
  }
  const partial = `${path}.partial`;
  const file = openSync(partial, "w");
  let waiting = "";
  let position = 0;
  let first = true;
  const flush = () => {
    position += writeSync(file, waiting, position);
    waiting = "";
  };
  const begin = () => {
    waiting = `{\n"schema": ${JSON.stringify(reportSchema)},\n"cycles": [`;
    first = true;
  };
  begin();
  return {
    add: (cycle) => {
      waiting += `${first ? "\n" : ",\n"}${JSON.stringify(reportCycle(cycle))}`;
      first = false;
      if (waiting.length > bufferLength) flush();
    },
    restart: () => {
      ftruncateSync(file, 0);
      position = 0;
      begin();
    },
    finish: ({ schema: _, ...summary }, further) => {
      const members = Object.entries({ ...summary, ...further });
      waiting += "\n]";
      for (const [key, value] of members) waiting += `,\n${JSON.stringify(key)}: ${JSON.stringify(value, null, 1)}`;
      waiting += "\n}\n";
      flush();
      closeSync(file);
      renameSync(partial, path);
    },
    discard: () => {
      closeSync(file);
      rmSync(partial, { force: true });
    },
  };
}
