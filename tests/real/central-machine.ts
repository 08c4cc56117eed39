// A central machine below a scratch folder: mosquitto and influxd started by hand with the very files that are made for a
// real one, under the accounts that they would have there.

import { type ChildProcess, spawn } from "node:child_process";
import { chmodSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { accountIds, brokerUser, databaseUser } from "../../deploy/central/accounts-of-system.ts";
import type { Machine } from "../../deploy/central/machine.ts";
import { type Places, placesBelow } from "../../deploy/central/places.ts";
import { makeConfiguration } from "../../deploy/central/set-up.ts";
import { freePort } from "./free-port.ts";
import { listening } from "./listening.ts";

export interface CentralMachine {
  readonly places: Places;
  readonly machine: Machine;
  readonly broker: ChildProcess;
  readonly database: ChildProcess;
  /** As `systemctl reload` does. */
  reloadBroker(): Promise<void>;
  /** For good, with its folder. */
  dispose(): Promise<void>;
}

/** Both programs run; the database has no account yet. */
export async function startCentralMachine(): Promise<CentralMachine> {
  const root = mkdtempSync(join(tmpdir(), "undercroft-machine-"));
  chmodSync(root, 0o755); // the services have to get at their files, each at its own
  const places = placesBelow(root);
  const [brokerPort, databasePort, rpcPort, pagePort] = await Promise.all([
    freePort(),
    freePort(),
    freePort(),
    freePort(),
  ]);
  const ports = { brokerPort, databasePort, rpcPort, pagePort };
  const machine = await makeConfiguration(places, { names: ["localhost"], listen: "127.0.0.1", ...ports });
  const broker = startAs(brokerUser, "/usr/sbin/mosquitto", ["-c", places.broker.conf]);
  const database = startAs(databaseUser, "/usr/bin/influxd", ["run", "-config", places.database.conf]);
  // Also when what started them is cut off.
  const kill = () => [broker, database].forEach((child) => void child.kill("SIGKILL"));
  process.once("exit", kill);
  await listening(broker, brokerPort);
  await listening(database, databasePort);
  return {
    places,
    machine,
    broker,
    database,
    async reloadBroker() {
      broker.kill("SIGHUP");
      await sleep(200); // it says nothing when it has read them
    },
    async dispose() {
      process.off("exit", kill);
      await Promise.all([broker, database].map(end));
      rmSync(root, { recursive: true, force: true });
    },
  };
}

function startAs(account: string, program: string, args: readonly string[]): ChildProcess {
  const ids = process.getuid?.() === 0 ? (accountIds(account) ?? {}) : {};
  const environment = Object.entries(process.env).filter(([name]) => !name.startsWith("INFLUXDB_"));
  return spawn(program, args, {
    ...ids,
    env: Object.fromEntries(environment),
    stdio: ["ignore", "ignore", "pipe"],
  });
}

async function end(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const exit = new Promise((resolve) => child.once("exit", resolve));
  child.kill("SIGKILL");
  await exit;
}

export function secretOf(path: string): string {
  return readFileSync(path, "utf8").trim();
}
