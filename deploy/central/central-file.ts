// The central view's file, which belongs to a person once it is there, and beside it a file for each basin.

import { existsSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { parse, parseDocument, stringify } from "yaml";
import { hashPassword } from "../../daemon/central/access/password.ts";
import { loadCentralFile } from "../../daemon/central/config/load-central-file.ts";
import { viewUser } from "./accounts-of-system.ts";
import { databaseName } from "./database-accounts.ts";
import { keepFile, keepFolder, keepFolderOf } from "./keep-file.ts";
import { type Machine, ownAddress } from "./machine.ts";
import { Mistake } from "./mistake.ts";
import { centralAccount } from "./names.ts";
import type { Places } from "./places.ts";
import { secretIn } from "./secret.ts";

const viewReads = { mode: 0o640, reader: viewUser };

/** Each mapping written out, though two be the same. */
const plain = { aliasDuplicateObjects: false };

/** What a person may say of a basin when its board is enrolled. */
export interface BasinWords {
  readonly title?: string;
  readonly group?: string;
  readonly place?: string;
  readonly customer?: string;
}

/** Writes the file where there is none; in one that is there, only addresses and ports that have changed. */
export async function keepCentralFile(places: Places, machine: Machine): Promise<void> {
  keepFolder(places.basins, { mode: 0o750, reader: viewUser });
  keepFolderOf(viewUser, places.view.data);
  const text = existsSync(places.centralFile) ? readFileSync(places.centralFile, "utf8") : await firstFile(places);
  const document = parseDocument(text);
  if (document.errors[0] !== undefined) throw new Mistake(`${places.centralFile}: ${document.errors[0].message}`);
  for (const [path, value] of addresses(machine)) {
    if (document.getIn(path) !== value) document.setIn(path, value);
  }
  keepFile(places.centralFile, document.toString({ lineWidth: 0 }), viewReads);
}

function addresses(machine: Machine): readonly (readonly [path: string[], value: string | number])[] {
  const here = ownAddress(machine);
  return [
    [["broker", "url"], `mqtts://${here}:${machine.brokerPort}`],
    [["database", "url"], `https://${here}:${machine.databasePort}`],
    [["server", "host"], machine.listen ?? "0.0.0.0"],
    [["server", "port"], machine.pagePort],
  ];
}

async function firstFile({ secrets, tls, basins, view }: Places): Promise<string> {
  const staff = secretIn(join(secrets, "staff"), { mode: 0o600 });
  const authority = { ca: join(tls, "ca.pem") };
  const keys = {
    view: { name: "All basins" },
    broker: {
      url: "",
      username: centralAccount,
      password_file: join(secrets, "central-broker"),
      topic_prefix: "undercroft",
      tls: authority,
    },
    database: {
      url: "",
      name: databaseName,
      username: centralAccount,
      password_file: join(secrets, "central-database"),
      tls: authority,
    },
    server: {
      host: "",
      port: 0,
      tls: { cert: join(tls, "view.pem"), key: join(tls, "view.key") },
      session_key_file: join(view.data, "session-key"),
    },
    basins_folder: basins,
    customers: [],
    logins: [{ name: "staff", password: await hashPassword(staff), role: "staff" }],
  };
  return `# The central view. Yours to change: set-up, run again, touches addresses and ports alone.\n${stringify(keys, plain)}`;
}

/** @throws {Mistake} when the central view would refuse it */
export function refuseUnknownCustomer(places: Places, customer: string): void {
  const file: unknown = parse(readFileSync(places.centralFile, "utf8"));
  const customers = typeof file === "object" && file !== null && "customers" in file ? file.customers : [];
  const names = Array.isArray(customers) ? customers.map((entry: { name?: unknown }) => entry?.name) : [];
  if (names.includes(customer)) return;
  const known = names.length === 0 ? "none" : names.join(", ");
  throw new Mistake(
    `--customer ${JSON.stringify(customer)}: expected a name from customers in central.yaml (${known})`,
  );
}

/** @throws {Mistake} with every problem, when the central view would not start with what stands there */
export function refuseUnfitCentralFile({ centralFile }: Places): void {
  const loaded = loadCentralFile(centralFile);
  if (loaded.ok) return;
  const problems = loaded.problems.map(({ text }) => text).join("\n");
  throw new Mistake(`all else is done, but the central view was not restarted, for it would not start:\n${problems}`);
}

/** A basin that is there keeps its file, but for the words that are given now. */
export function keepBasin(places: Places, name: string, words: BasinWords): void {
  const path = basinPath(places, name);
  const document = parseDocument(existsSync(path) ? readFileSync(path, "utf8") : stringify({ name }));
  for (const [key, value] of Object.entries(words)) if (value !== undefined) document.set(key, value);
  keepFile(path, document.toString({ lineWidth: 0 }), viewReads);
}

export function removeBasin(places: Places, name: string): void {
  rmSync(basinPath(places, name), { force: true });
}

function basinPath({ basins }: Places, name: string): string {
  return join(basins, `${name}.yaml`);
}
