// A file that is there whole or not at all: it takes its name once all of it is on the disk.

import { closeSync, fsyncSync, openSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { CannotWriteReport } from "./cannot-write-report.ts";
import { behindLinks, partialPath, refuseOtherThanFile } from "./report-file.ts";

/** @throws CannotWriteReport; then nothing is left behind */
export function writeWholeFile(path: string, content: string | Uint8Array): void {
  const partial = partialPath(path);
  try {
    refuseOtherThanFile(path);
    const file = openSync(partial, "w");
    try {
      writeFileSync(file, content);
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
    renameSync(partial, behindLinks(path));
  } catch (error) {
    rmSync(partial, { force: true });
    throw new CannotWriteReport(path, error);
  }
}
