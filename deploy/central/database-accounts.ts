// Accounts at the database: the administrator, who alone makes others; the central view, which reads; the boards, which
// write. All of it can be run again.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { InfluxDB } from "influx";
import type { Account } from "./broker-files.ts";
import { type Machine, ownAddress } from "./machine.ts";
import { Mistake } from "./mistake.ts";
import { administrator } from "./names.ts";
import type { Places } from "./places.ts";

/** The one database of all boards. */
export const databaseName = "undercroft";

export interface DatabaseAccounts {
  /** As the first account of a new database; changes nothing where it is. */
  makeAdministrator(password: string): Promise<void>;
  makeDatabase(): Promise<void>;
  /** Makes the accounts, or gives them these passwords, and this right and no other. */
  set(accounts: readonly Account[], right: "READ" | "WRITE"): Promise<void>;
  remove(name: string): Promise<void>;
  names(): Promise<string[]>;
}

/** @param password the administrator's */
export function databaseAccounts(places: Places, machine: Machine, password: string): DatabaseAccounts {
  const address = `https://${ownAddress(machine)}:${machine.databasePort}`;
  const options = { ca: readFileSync(join(places.tls, "ca.pem")) };
  const host = { host: ownAddress(machine), port: machine.databasePort, protocol: "https" as const, options };
  const influx = new InfluxDB({ hosts: [host], username: administrator, password });
  const names = async () => (await influx.getUsers()).map(({ user }) => user);

  return {
    makeAdministrator: (secret) =>
      said(async () => {
        // Only while there is no account at all may this be asked without one; afterwards the same again is no change.
        await influx.createUser(administrator, secret, true);
      }),
    makeDatabase: () => said(() => influx.createDatabase(databaseName)),
    set: (accounts, right) =>
      said(async () => {
        const known = new Set(await names());
        for (const { name, password: secret } of accounts) {
          if (known.has(name)) {
            await influx.setPassword(name, secret);
            await influx.revokePrivilege(name, right === "READ" ? "WRITE" : "READ", databaseName);
          } else await influx.createUser(name, secret);
          await influx.grantPrivilege(name, right, databaseName);
        }
      }),
    remove: (name) =>
      said(async () => {
        if ((await names()).includes(name)) await influx.dropUser(name);
      }),
    names: () => said(names),
  };

  async function said<T>(work: () => Promise<T>): Promise<T> {
    try {
      return await work();
    } catch (cause) {
      const why = cause instanceof Error ? cause.message : String(cause);
      throw new Mistake(`the database at ${address}: ${explained(why)}`, { cause });
    }
  }
}

function explained(why: string): string {
  if (/ECONNREFUSED|No host available/.test(why)) return "nothing answers; start it, then run this again";
  if (/authorization failed/.test(why)) return "it does not take the administrator's password of secrets/administrator";
  return why.trim();
}
