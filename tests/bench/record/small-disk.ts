// A disk of its own, made in memory and mounted with ext4, whose counter of sectors nobody else touches: what a program
// writes to it is what a card would get, the file system's journal included. Needs root and a free loop device.

import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { basename, join } from "node:path";

export interface SmallDisk {
  readonly folder: string;
  /** Bytes written to the device so far, with what waited for it. */
  written_B(): number;
  remove(): void;
}

/** Null where it may not be made. */
export function smallDisk(size_MB: number): SmallDisk | null {
  const base = mkdtempSync("/dev/shm/undercroft-disk-");
  const image = join(base, "image");
  const folder = join(base, "mounted");
  let device: string;
  try {
    execFileSync("truncate", ["-s", `${size_MB}M`, image]);
    execFileSync("mkfs.ext4", ["-q", "-E", "lazy_itable_init=0,lazy_journal_init=0", image]);
    execFileSync("mkdir", [folder]);
    device = execFileSync("losetup", ["--find", "--show", image], { encoding: "utf8" }).trim();
    execFileSync("mount", [device, folder]);
  } catch {
    rmSync(base, { recursive: true });
    return null;
  }
  const counter = `/sys/block/${basename(device)}/stat`;
  statSync(counter);
  return {
    folder,
    written_B() {
      execFileSync("sync", ["-f", folder]);
      return Number(readFileSync(counter, "utf8").trim().split(/\s+/)[6]) * 512;
    },
    remove() {
      execFileSync("umount", [folder]);
      execFileSync("losetup", ["--detach", device]);
      rmSync(base, { recursive: true });
    },
  };
}
