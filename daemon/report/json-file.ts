// A JSON document as a file that is there whole or not at all.

import { closeSync, fsyncSync, openSync, realpathSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { rounded } from "../../analysis/report/summarize.ts";
import { CannotWriteReport } from "./cannot-write-report.ts";

/**
 * Figures go out to six significant digits: more than any sensor gives, few enough to read.
 *
 * @throws CannotWriteReport; then nothing is left behind
 */
export function writeJsonFile(path: string, document: unknown): void {
  const target = behindLinks(path);
  const partial = `${target}.partial`;
  try {
    const file = openSync(partial, "w");
    try {
      writeFileSync(file, `${JSON.stringify(document, sixDigits, 1)}\n`);
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
    renameSync(partial, target);
  } catch (error) {
    rmSync(partial, { force: true });
    throw new CannotWriteReport(path, error);
  }
}

function sixDigits(_key: string, value: unknown): unknown {
  return typeof value === "number" ? rounded(value) : value;
}

function behindLinks(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    return path; // not there yet, or for whoever opens it to complain of
  }
}
