// What a process has cost so far: processor time and resident memory, as the kernel tells.

import { readFileSync } from "node:fs";

export interface Cost {
  readonly cpu_s: number;
  readonly resident_mb: number;
}

/** Debian's kernels count in hundredths of a second. */
const tick_s = 0.01;

export function costOf(pid: number): Cost {
  // The name, in brackets, may hold anything: what follows it is counted from the last bracket.
  const fields = readFileSync(`/proc/${pid}/stat`, "utf8").replace(/^.*\)/, "").trim().split(" ");
  const resident = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1];
  return { cpu_s: (Number(fields[11]) + Number(fields[12])) * tick_s, resident_mb: Number(resident) / 1024 };
}
