// By what a command knows that the daemon which answers has the record that it means: basins may share a name.

import { hash } from "node:crypto";
import { readFileSync, readlinkSync, realpathSync } from "node:fs";
import { hostname } from "node:os";
import { basename, dirname, join, resolve } from "node:path";

/** The same for all on this machine, by whatever way they name the file, be it there yet or not; tells no path. */
export function recordKey(path: string): string {
  return hash("sha256", `${machine()} ${join(realFolder(dirname(resolve(path))), basename(path))}`).slice(0, 16);
}

/** Its name may change while a daemon runs, which is then not told (systemd's `ProtectHostname`). */
function machine(): string {
  try {
    return readFileSync("/etc/machine-id", "utf8").trim() || hostname();
  } catch {
    return hostname();
  }
}

/** A service's own folder is a link into one that only root may look into: the link itself says where it leads. */
function realFolder(folder: string): string {
  try {
    return realpathSync(folder);
  } catch {
    return linkedFrom(folder);
  }
}

function linkedFrom(folder: string): string {
  try {
    return resolve(dirname(folder), readlinkSync(folder));
  } catch {
    return folder; // no link, or not there
  }
}
