// SQLite's faults in plain words. What to do about one (hold, refuse, rebuild) is the caller's to decide.

/** By SQLite's primary result code, https://www.sqlite.org/rescode.html */
const words: Readonly<Record<number, string>> = {
  5: "another program has locked the file",
  6: "another program has locked the file",
  8: "the file or its folder is read-only",
  10: "the disk reports an error",
  11: "the file is damaged",
  13: "the disk is full",
  14: "the file cannot be opened: its folder is missing, or is not to be written by this user",
  26: "the file is not a database",
};

/** The fault's primary result code; null when the error is not SQLite's. */
export function faultCode(error: unknown): number | null {
  if (!(error instanceof Error) || !("errcode" in error) || typeof error.errcode !== "number") return null;
  return error.errcode & 0xff; // the extended code tells which of SQLite's system calls it was
}

/** Says the fault in words, with SQLite's own in brackets; null when the error is not SQLite's. */
export function faultInWords(error: unknown): string | null {
  const code = faultCode(error);
  if (code === null || !(error instanceof Error)) return null;
  return `${words[code] ?? "the database reports an error"} (SQLite: ${error.message})`;
}
