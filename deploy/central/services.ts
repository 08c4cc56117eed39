// The machine's services, through systemctl. On a tree below another root, or where systemd does not run, there are none:
// what would be done is said, so that a person can.

import { execFileSync, spawnSync } from "node:child_process";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { keepFile } from "./keep-file.ts";
import { Mistake } from "./mistake.ts";
import type { Places } from "./places.ts";

export type Service = "broker" | "database" | "view";

const unitOf: Readonly<Record<Service, string>> = {
  broker: "undercroft-broker.service",
  database: "undercroft-database.service",
  view: "undercroft-central.service",
};
const timer = "undercroft-certificates.timer";
/** Debian starts these by itself once their packages are there, on ports that ours may want. */
const ofPackages = ["mosquitto.service", "influxdb.service"];

/** Whether services can be started: the tree is the machine's own and systemd runs. */
export function areServicesHere({ root }: Places): boolean {
  return root === "/" && existsSync("/run/systemd/system");
}

/** Where the project is expected by the units. */
export const programFolder = "/opt/undercroft";

/** Writes the units into the tree. @returns whether any is new */
export function keepUnits(places: Places): boolean {
  const folder = join(import.meta.dirname, "units");
  const units = readdirSync(folder).map((name) =>
    keepFile(join(places.units, name), readFileSync(join(folder, name)), { mode: 0o644 }),
  );
  return units.includes(true);
}

/** @throws {Mistake} when a package's own service runs, which may serve others: that is for a person to decide */
export function refuseServicesOfPackages(): void {
  const running = ofPackages.filter((unit) => isActive(unit));
  if (running.length === 0) return;
  throw new Mistake(
    `${running.join(" and ")}, which the package starts by itself, would stand beside ours; if nothing else uses it: ` +
      `systemctl disable --now ${running.join(" ")}; then run this again`,
  );
}

export function startService(service: Service): void {
  systemctl("daemon-reload");
  systemctl("enable", "--now", unitOf[service]);
}

export function startTimer(): void {
  systemctl("enable", "--now", timer);
}

/**
 * Lets a running service take up what has changed; without systemd the line says what to do.
 *
 * @param how `reload` is enough for the broker's accounts and rights, and lets connections stand
 */
export function takeUp(places: Places, service: Service, how: "reload" | "restart"): string | null {
  if (!areServicesHere(places)) {
    const signal = how === "reload" ? "send SIGHUP to" : "restart";
    return `systemd does not look after this tree: ${signal} the ${service}, so that it takes up the change`;
  }
  if (isActive(unitOf[service])) systemctl(how, unitOf[service]);
  return null;
}

function isActive(unit: string): boolean {
  return spawnSync("systemctl", ["is-active", "--quiet", unit]).status === 0;
}

function systemctl(...args: string[]): void {
  try {
    execFileSync("systemctl", args, { stdio: ["ignore", "ignore", "pipe"] });
  } catch (cause) {
    const why = cause instanceof Error ? cause.message.trim() : String(cause);
    throw new Mistake(`${why}; journalctl -u ${args.at(-1)} says more`, { cause });
  }
}
