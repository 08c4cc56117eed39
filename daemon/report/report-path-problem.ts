// Whether a report may have this path at all: never that of a file which it is made from.

import { fstatSync, type Stats, statSync } from "node:fs";
import { partialPath } from "./report-file.ts";

interface Inputs {
  /** `-` for standard input; null: none is read. */
  readonly recording: string | null;
  readonly site: string;
}

/** @returns one line: what was expected and what was found; null if there is nothing against it */
export function reportPathProblem(path: string, { recording, site }: Inputs): string | null {
  if (path === "-") return 'expected a file, found "-"; without --json a summary is printed; name a file';
  // Both names are written to: the report has the second until it is whole.
  const written = [path, partialPath(path)].map(statOf);
  const among = (input: Stats | undefined) => written.some((file) => isSame(file, input));
  if (recording !== null && among(recording === "-" ? fstatSync(0) : statOf(recording)))
    return overwrites("the recording", path);
  if (among(statOf(site))) return overwrites("the site file", path);
  return null;
}

const overwrites = (input: string, path: string) =>
  `expected a file of its own for the report, found one that overwrites ${input}: ${path}`;

function statOf(path: string): Stats | undefined {
  try {
    return statSync(path, { throwIfNoEntry: false });
  } catch {
    return undefined; // what cannot be looked at is for whoever opens it to complain of
  }
}

/** By whatever name or link. */
function isSame(one: Stats | undefined, other: Stats | undefined): boolean {
  return one !== undefined && other !== undefined && one.dev === other.dev && one.ino === other.ino;
}
