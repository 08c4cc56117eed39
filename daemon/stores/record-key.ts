// By what a command knows that the daemon which answers has the record that it means: basins may share a name.

import { hash } from "node:crypto";
import { realpathSync } from "node:fs";
import { hostname } from "node:os";
import { basename, dirname, join, resolve } from "node:path";

/** The same for all on this machine, by whatever way they name the file, be it there yet or not; tells no path. */
export function recordKey(path: string): string {
  return hash("sha256", `${hostname()} ${join(realFolder(dirname(resolve(path))), basename(path))}`).slice(0, 16);
}

function realFolder(folder: string): string {
  try {
    return realpathSync(folder);
  } catch {
    return folder; // not there, or not to be read
  }
}
