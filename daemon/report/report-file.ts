// The report as a file: cycles are written as they come, so that a year of them needs no memory; the file takes its
// name only when it is whole and on the disk.

import {
  closeSync,
  fsyncSync,
  ftruncateSync,
  openSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from "node:fs";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import { type ReportCycle, type ReportSummary, reportSchema } from "../../analysis/report/report.ts";
import { reportCycle } from "../../analysis/report/summarize.ts";
import { CannotWriteReport } from "./cannot-write-report.ts";

export interface ReportFile {
  /** @throws CannotWriteReport; then nothing is left behind */
  add(cycle: Cycle): void;
  /** Forgets the cycles so far. */
  restart(): void;
  /**
   * Writes the rest and gives the file its name.
   *
   * @throws CannotWriteReport; then nothing is left behind
   */
  finish(summary: ReportSummary, further: Readonly<Record<string, unknown>>): void;
  /** Leaves nothing behind, unless the report is finished; then it stays. */
  discard(): void;
}

/** Writes some of the bytes, or all, at the position in the file; returns how many. */
export type WriteBytes = (file: number, bytes: Uint8Array, from: number, count: number, position: number) => number;

const bufferLength = 1 << 16;

/** Where the report is until it is whole: beside the file that a link leads to, so that the link stays one. */
export const partialPath = (path: string) => `${behindLinks(path)}.partial`;

/** The file that a link leads to, so that the link stays one. */
export function behindLinks(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    return path; // not there yet, or for whoever opens it to complain of
  }
}

/**
 * @param cycleInReport what is written of a cycle; by default the contract's fields
 * @throws CannotWriteReport when the file cannot be begun
 */
export function openReportFile(
  path: string,
  write: WriteBytes = writeSync,
  cycleInReport: (cycle: Cycle) => ReportCycle = reportCycle,
): ReportFile {
  const partial = partialPath(path);
  const file = begun(path, partial);
  let waiting = "";
  let position = 0;
  let first = true;
  let open = true;
  const begin = () => {
    waiting = `{\n"schema": ${JSON.stringify(reportSchema)},\n"cycles": [`;
    first = true;
  };
  const close = () => {
    if (open) closeSync(file);
    open = false;
  };
  const discard = () => {
    rmSync(partial, { force: true });
    close();
  };
  const orDiscard = (step: () => void) => {
    try {
      step();
    } catch (error) {
      discard();
      throw new CannotWriteReport(path, error);
    }
  };
  const flush = () => {
    position += writeAll(write, file, Buffer.from(waiting), position);
    waiting = "";
  };
  begin();
  return {
    add: (cycle) => {
      waiting += `${first ? "\n" : ",\n"}${JSON.stringify(cycleInReport(cycle))}`;
      first = false;
      if (waiting.length > bufferLength) orDiscard(flush);
    },
    restart: () => {
      orDiscard(() => ftruncateSync(file, 0));
      position = 0;
      begin();
    },
    finish: ({ schema: _, ...summary }, further) => {
      waiting += `\n]${members({ ...summary, ...further })}\n}\n`;
      orDiscard(() => {
        flush();
        fsyncSync(file);
        close();
        renameSync(partial, behindLinks(path));
      });
    },
    discard,
  };
}

function begun(path: string, partial: string): number {
  try {
    refuseOtherThanFile(path);
    return openSync(partial, "w");
  } catch (error) {
    throw new CannotWriteReport(path, error);
  }
}

/** A name is given at the end, and then it would be too late to learn that a folder or a device has it. */
export function refuseOtherThanFile(path: string): void {
  const found = statSync(path, { throwIfNoEntry: false });
  if (found?.isDirectory()) throw Object.assign(new Error("a folder"), { code: "EISDIR" });
  if (found?.isFile() === false) throw Object.assign(new Error("no file"), { code: "EINVAL" });
}

/** A disk that is nearly full takes a part, and says only at the next attempt that it is full. */
function writeAll(write: WriteBytes, file: number, bytes: Uint8Array, position: number): number {
  for (let done = 0; done < bytes.length; ) {
    const taken = write(file, bytes, done, bytes.length - done, position + done);
    if (taken <= 0) throw Object.assign(new Error("nothing was taken"), { code: "ENOSPC" });
    done += taken;
  }
  return bytes.length;
}

function members(of: Readonly<Record<string, unknown>>): string {
  const texts = Object.entries(of).map(([key, value]) => `${JSON.stringify(key)}: ${JSON.stringify(value, null, 1)}`);
  return texts.map((text) => `,\n${text}`).join("");
}
