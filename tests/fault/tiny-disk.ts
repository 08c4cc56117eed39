// A disk of its own with room for three megabytes, to be filled up for a test: a small memory file system.

import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, statfsSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export interface TinyDisk {
  readonly folder: string;
  /** Takes up all the room that is left. */
  fill(): void;
  /** Gives it back. */
  free(): void;
  /** From now on it may only be read; nothing may have a file open for writing. */
  readOnly(): void;
  writable(): void;
  remove(): void;
}

export function tinyDisk(): TinyDisk {
  const folder = mkdtempSync(join(tmpdir(), "undercroft-disk-"));
  try {
    execFileSync("mount", ["-t", "tmpfs", "-o", "size=3m", "tmpfs", folder], { stdio: "ignore" });
  } catch (error) {
    rmSync(folder, { recursive: true });
    throw error;
  }
  const ballast = join(folder, "ballast");
  return {
    folder,
    fill() {
      const { bavail, bsize } = statfsSync(folder);
      writeFileSync(ballast, Buffer.alloc(bavail * bsize));
    },
    free: () => rmSync(ballast),
    writable: () => execFileSync("mount", ["-o", "remount,rw", folder]),
    readOnly: () => execFileSync("mount", ["-o", "remount,ro", folder]),
    remove() {
      execFileSync("umount", [folder]);
      rmSync(folder, { recursive: true });
    },
  };
}

/** Whether this user may, on this machine. */
export function mayMount(): boolean {
  try {
    tinyDisk().remove();
    return true;
  } catch {
    return false;
  }
}
