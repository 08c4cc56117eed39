// SQLite's faults in plain words. What to do about one (hold, refuse, rebuild) is the caller's to decide.

import { StoreError } from "../store-error.ts";

/** By SQLite's primary result code, https://www.sqlite.org/rescode.html */
const words: Readonly<Record<number, string>> = {
  5: "another program has locked the file",
  6: "another program has locked the file",
  8: "the file or its folder is read-only",
  10: "the disk reports an error",
  11: "the file is damaged",
  13: "the disk is full",
  14: "the file cannot be opened: its folder is missing, read-only, or not to be written by this user",
  26: "the file is not a database",
};

/** The same faults as the system names them, met in the file of recent readings. */
const codesOfSystem: Readonly<Record<string, number>> = {
  ...{ EROFS: 8, EACCES: 8, EPERM: 8, EIO: 10, ENOSPC: 13, EDQUOT: 13, ENOENT: 14, EISDIR: 14 },
};

/** The fault's primary result code; null when the error is neither SQLite's nor the disk's. */
export function faultCode(error: unknown): number | null {
  if (!(error instanceof Error)) return null;
  if ("errcode" in error && typeof error.errcode === "number") {
    return error.errcode & 0xff; // the extended code tells which of SQLite's system calls it was
  }
  return "code" in error && typeof error.code === "string" ? (codesOfSystem[error.code] ?? null) : null;
}

/** Says the fault in words, with its own in brackets; null when the error is neither SQLite's nor the disk's. */
export function faultInWords(error: unknown): string | null {
  const code = faultCode(error);
  if (code === null || !(error instanceof Error)) return null;
  const who = "errcode" in error ? "SQLite: " : "";
  return `${words[code] ?? "the database reports an error"} (${who}${error.message})`;
}

/** What the disk or SQLite says of a file, as one sentence with what follows from it; any other error as it is. */
export function inOneSentence(path: string, error: unknown, after: string): unknown {
  const words = error instanceof StoreError ? null : faultInWords(error);
  return words === null ? error : new StoreError(`${path}: ${words}; ${after}`, { cause: error });
}
