// Files that the site file names for what does not stand in it: passwords, keys, certificates.

import { readFileSync } from "node:fs";
import { resolve } from "node:path";

/**
 * @param key        that names the file, for the error
 * @param baseFolder where relative paths start
 * @throws {Error} naming key, file and reason
 */
export function readNamedFile(key: string, path: string, baseFolder: string): Buffer {
  try {
    return readFileSync(resolve(baseFolder, path));
  } catch (cause) {
    throw new Error(`${key}: cannot read ${path}: ${cause instanceof Error ? cause.message : cause}`, { cause });
  }
}

/** The first line of such a file: a password, a secret, a PIN. */
export function readSecret(key: string, path: string, baseFolder: string): string {
  return readNamedFile(key, path, baseFolder).toString("utf8").split(/\r?\n/)[0] ?? "";
}
