// Why a report could not be written, in words for the person who named its file.

/** The message is one line: what was expected, what was found, and the path. */
export class CannotWriteReport extends Error {
  constructor(path: string, error: unknown) {
    const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
    const found = inWords[code] ?? `one that cannot (${code})`;
    super(`expected a file that can be written, found ${found}: ${path}`, { cause: error });
  }
}

const inWords: Readonly<Record<string, string>> = {
  EISDIR: "a folder",
  EINVAL: "a device or a pipe",
  ENOENT: "one in a folder that is not there",
  ENOTDIR: "one in a folder that is not there",
  EACCES: "one that this user may not write",
  EPERM: "one that this user may not write",
  EROFS: "one on a disk that is read-only",
  ENOSPC: "one on a disk that is full",
  EDQUOT: "one on a disk of which this user's share is full",
  EFBIG: "one that has grown larger than a file may be here",
  EIO: "one on a disk that fails",
};
