// Writes a small file of the daemon's own, readable to its owner alone: all of it or nothing, also when the power fails.

import { closeSync, fsyncSync, openSync, renameSync, writeSync } from "node:fs";
import { dirname } from "node:path";

/** @throws {Error} of the file system; what stood there then stands there still */
export function writeWhole(path: string, text: string): void {
  const next = `${path}.next`;
  const opened = openSync(next, "w", 0o600);
  try {
    writeSync(opened, text);
    fsyncSync(opened);
  } finally {
    closeSync(opened);
  }
  renameSync(next, path);
  const folder = openSync(dirname(path), "r");
  try {
    fsyncSync(folder);
  } finally {
    closeSync(folder);
  }
}
