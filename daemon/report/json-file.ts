// A JSON document as a file that is there whole or not at all.

import { rounded } from "../../analysis/report/summarize.ts";
import { writeWholeFile } from "./whole-file.ts";

/**
 * Figures go out to six significant digits: more than any sensor gives, few enough to read.
 *
 * @throws CannotWriteReport; then nothing is left behind
 */
export function writeJsonFile(path: string, document: unknown): void {
  writeWholeFile(path, `${JSON.stringify(document, sixDigits, 1)}\n`);
}

function sixDigits(_key: string, value: unknown): unknown {
  return typeof value === "number" ? rounded(value) : value;
}
