// The programs of the machine that the `real` tests drive. Installs what is missing where it may: as root on Debian.

import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { delimiter, join } from "node:path";

/** Programs by the names of Debian's packages. */
const wanted = { mosquitto: "mosquitto", chromium: "chromium", influxdb: "influxd", socat: "socat" } as const;
type Wanted = keyof typeof wanted;

export interface MissingProgram {
  readonly name: string;
  readonly reason: string;
}

/** Installs what it may; returns what is still missing, and why. */
export function missingPrograms(): MissingProgram[] {
  const missing = (Object.keys(wanted) as Wanted[]).filter((name) => !isInstalled(name));
  if (missing.length === 0) return [];
  if (!existsSync("/usr/bin/apt-get"))
    return missing.map((name) => ({ name, reason: "install it; this is no Debian" }));
  if (process.getuid?.() !== 0) {
    return missing.map((name) => ({ name, reason: `run "sudo apt-get install ${name}"; this user may not` }));
  }
  console.log(`installing with apt-get: ${missing.join(", ")}`);
  const problem = aptGet("update") ?? aptGet("install", "--yes", "--no-install-recommends", ...missing);
  const reason =
    problem === null ? "apt-get installed it without its program" : `apt-get could not install it: ${problem}`;
  return missing.filter((name) => !isInstalled(name)).map((name) => ({ name, reason }));
}

function isInstalled(name: Wanted): boolean {
  // Services live in sbin, which an ordinary user's path may leave out.
  const folders = [...(process.env.PATH ?? "").split(delimiter), "/usr/sbin", "/usr/bin"];
  return folders.some((folder) => existsSync(join(folder, wanted[name])));
}

/** @returns null when it went well, else its last word */
function aptGet(...args: readonly string[]): string | null {
  const { status, error, stdout, stderr } = spawnSync("apt-get", args, {
    encoding: "utf8",
    env: { ...process.env, DEBIAN_FRONTEND: "noninteractive" },
    stdio: ["ignore", "pipe", "pipe"],
    maxBuffer: 64 * 1024 * 1024,
  });
  if (status === 0) return null;
  return error?.message ?? `${stderr}\n${stdout}`.trim().split("\n").at(0) ?? `status ${status}`;
}
