// A disk of its own, made in memory and mounted with ext4, whose counter of sectors nobody else touches: what a program
// writes to it is what a card would get, the file system's journal included. What is on the device, and not only in the
// system's memory, can be had at any moment, as a power cut would leave it. Needs root and a free loop device.

import { execFileSync } from "node:child_process";
import { copyFileSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";

export interface SmallDisk {
  readonly folder: string;
  /** Bytes written to the device so far, with what waited for it. */
  written_B(): number;
  /** Another disk with what is on the device at this moment: the power is cut, and comes back. */
  afterPowerCut(): SmallDisk;
  /** The file system meets an error, and from then on may only be read, whatever is open. */
  fail(): void;
  /** The same disk as it is once it has been looked through and mounted again; nothing may have a file open. */
  mendedAndMounted(): void;
  remove(): void;
}

/** Whether this user may, on this machine. */
export function mayMakeDisks(): boolean {
  const disk = smallDisk(4);
  disk?.remove();
  return disk !== null;
}

/** For a test that asks first whether it may. */
export function neededDisk(size_MB: number): SmallDisk {
  const disk = smallDisk(size_MB);
  if (disk === null) throw new Error("a disk of its own was to be had, and is no longer");
  return disk;
}

/** Null where it may not be made. */
export function smallDisk(size_MB: number): SmallDisk | null {
  const base = mkdtempSync("/dev/shm/undercroft-disk-");
  try {
    const image = join(base, "image");
    execFileSync("truncate", ["-s", `${size_MB}M`, image]);
    execFileSync("mkfs.ext4", ["-q", "-E", "lazy_itable_init=0,lazy_journal_init=0", image]);
    return mounted(base, image);
  } catch {
    rmSync(base, { recursive: true });
    return null;
  }
}

function mounted(base: string, image: string): SmallDisk {
  const folder = join(base, "mounted");
  execFileSync("mkdir", [folder]);
  const device = execFileSync("losetup", ["--find", "--show", image], { encoding: "utf8" }).trim();
  const mount = () => execFileSync("mount", ["-o", "errors=remount-ro", device, folder]);
  mount();
  const counter = `/sys/block/${basename(device)}/stat`;
  statSync(counter);
  return {
    folder,
    written_B() {
      execFileSync("sync", ["-f", folder]);
      return Number(readFileSync(counter, "utf8").trim().split(/\s+/)[6]) * 512;
    },
    afterPowerCut() {
      const other = mkdtempSync("/dev/shm/undercroft-disk-");
      copyFileSync(image, join(other, "image"));
      return mounted(other, join(other, "image"));
    },
    fail: () => writeFileSync(`/sys/fs/ext4/${basename(device)}/trigger_fs_error`, "for a test\n"),
    mendedAndMounted() {
      execFileSync("umount", [folder]);
      try {
        execFileSync("fsck.ext4", ["-fy", device], { stdio: "ignore" });
      } catch {
        // its status says that there was something to mend
      }
      mount();
    },
    remove() {
      execFileSync("umount", [folder]);
      execFileSync("losetup", ["--detach", device]);
      rmSync(base, { recursive: true });
    },
  };
}
