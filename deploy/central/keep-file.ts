// Writes the files of the machine: whole or not at all, with their mode and group from the first moment on.

import { chmodSync, chownSync, existsSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { accountIds } from "./accounts-of-system.ts";

export interface Access {
  readonly mode: number;
  /** Who may read it beside root: an account of the system. Where there is none of that name, its owner alone. */
  readonly reader?: string;
}

/** @returns whether its content is another than before */
export function keepFile(path: string, content: string | Uint8Array, access: Access): boolean {
  const bytes = Buffer.from(content);
  const changed = !existsSync(path) || !readFileSync(path).equals(bytes);
  if (!changed) {
    grant(path, access);
    return false;
  }
  const unfinished = join(dirname(path), `.${process.pid}.unfinished`);
  try {
    writeFileSync(unfinished, bytes, { mode: 0o600, flag: "wx", flush: true });
    grant(unfinished, access);
    renameSync(unfinished, path);
  } finally {
    rmSync(unfinished, { force: true });
  }
  return true;
}

export function keepFolder(path: string, access: Access): void {
  mkdirSync(path, { recursive: true });
  grant(path, access);
}

/** A folder in which a service writes: its own, and nobody else's. */
export function keepFolderOf(account: string, path: string): void {
  mkdirSync(dirname(path), { recursive: true });
  mkdirSync(path, { recursive: true, mode: 0o700 });
  const ids = accountIds(account);
  if (process.getuid?.() === 0 && ids !== null) chownSync(path, ids.uid, ids.gid);
}

function grant(path: string, { mode, reader }: Access): void {
  chmodSync(path, mode);
  if (process.getuid?.() !== 0) return;
  chownSync(path, 0, (reader === undefined ? null : accountIds(reader))?.gid ?? 0);
}
