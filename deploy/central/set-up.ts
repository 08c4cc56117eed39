// Sets the machine up: certificates, configuration, the accounts of the machine itself. Run again, it keeps every
// secret and everything that a person may have changed, and writes only what is missing or differs.

import { existsSync } from "node:fs";
import { delimiter, join } from "node:path";
import { makeViewUser, viewUser } from "./accounts-of-system.ts";
import { boardsAtDatabase } from "./boards.ts";
import { keepBrokerFiles, setBrokerAccounts } from "./broker-files.ts";
import { keepCentralFile } from "./central-file.ts";
import { keepAllCertificates } from "./certificates.ts";
import { databaseAccounts } from "./database-accounts.ts";
import { keepDatabaseFile } from "./database-file.ts";
import { keepFolder } from "./keep-file.ts";
import { keepMachine, loadMachine, type Machine } from "./machine.ts";
import { Mistake } from "./mistake.ts";
import { administrator, centralAccount } from "./names.ts";
import type { Places } from "./places.ts";
import { secretIn } from "./secret.ts";

const viewReads = { mode: 0o640, reader: viewUser };

/** All files; starts nothing. */
export async function makeConfiguration(places: Places, given: Partial<Machine>): Promise<Machine> {
  refuseWithoutPrograms();
  if (places.root === "/") makeViewUser();
  keepFolder(places.etc, { mode: 0o755 });
  const machine = keepMachine(places, given);
  keepFolder(places.tls, { mode: 0o755 });
  keepFolder(places.secrets, { mode: 0o750, reader: viewUser });
  keepFolder(places.boards, { mode: 0o700 });
  keepFolder(places.bundles, { mode: 0o700 });
  keepAllCertificates(places, machine);
  keepBrokerFiles(places, machine);
  keepDatabaseFile(places, machine);
  secretIn(join(places.secrets, administrator), { mode: 0o600 });
  secretIn(join(places.secrets, "central-database"), viewReads);
  const broker = secretIn(join(places.secrets, "central-broker"), viewReads);
  setBrokerAccounts(places, [{ name: centralAccount, password: broker }]);
  await keepCentralFile(places, machine);
  return machine;
}

/**
 * Makes the database of the boards there, the accounts of the machine itself, and those of boards that it does not know: a
 * copy that was put back has none. It has to run.
 */
export async function prepareDatabase(places: Places): Promise<void> {
  const accounts = databaseAccounts(places, loadMachine(places));
  await accounts.makeAdministrator();
  const password = secretIn(join(places.secrets, "central-database"), viewReads);
  await accounts.set([{ name: centralAccount, password }], "READ");
  const known = new Set(await accounts.names());
  const boards = boardsAtDatabase(places).filter(({ name }) => !known.has(name));
  if (boards.length > 0) await accounts.set(boards, "WRITE");
}

const programs = { mosquitto: "mosquitto", influxd: "influxdb", openssl: "openssl", tar: "tar" } as const;

function refuseWithoutPrograms(): void {
  const folders = [...(process.env.PATH ?? "").split(delimiter), "/usr/sbin", "/usr/bin"];
  const missing = Object.entries(programs).filter(
    ([program]) => !folders.some((folder) => existsSync(join(folder, program))),
  );
  if (missing.length === 0) return;
  const packages = missing.map(([, name]) => name).join(" ");
  throw new Mistake(
    `${missing.map(([program]) => program).join(", ")} missing; on Debian: apt-get install ${packages}`,
  );
}
