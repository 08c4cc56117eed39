// Accounts at the database: the administrator, who alone makes others; the central view, which reads; the boards, which
// write. All of it can be run again.

import { join } from "node:path";
import type { DatabaseConnection } from "../../daemon/stores/influx/connection.ts";
import { linkToDatabase } from "../../daemon/stores/influx/database-link.ts";
import { type DatabaseUser, setUpDatabase } from "../../daemon/stores/influx/set-up-database.ts";
import { StoreError } from "../../daemon/stores/store-error.ts";
import type { Account } from "./broker-files.ts";
import { type Machine, ownAddress } from "./machine.ts";
import { Mistake } from "./mistake.ts";
import { administrator } from "./names.ts";
import type { Places } from "./places.ts";
import { secretIn } from "./secret.ts";

/** The one database of all boards. */
export const databaseName = "undercroft";

export interface DatabaseAccounts {
  /** As the first account of a new database; changes nothing where it is. */
  makeAdministrator(): Promise<void>;
  /** The database, how long it keeps what, and the accounts with these passwords and rights. */
  set(accounts: readonly Account[], right: DatabaseUser["right"]): Promise<void>;
  remove(name: string): Promise<void>;
  names(): Promise<string[]>;
}

const day_s = 86_400;

/** As the administrator. Names and passwords are of letters that end no quotes. @throws {Mistake} of each, when the database does not answer or refuses */
export function databaseAccounts(places: Places, machine: Machine): DatabaseAccounts {
  const passwordFile = join(places.secrets, administrator);
  const password = secretIn(passwordFile, { mode: 0o600 });
  const connection: DatabaseConnection = {
    url: `https://${ownAddress(machine)}:${machine.databasePort}`,
    database: databaseName,
    username: administrator,
    password_file: passwordFile,
    tls: { ca: join(places.tls, "ca.pem") },
    timeout: 30,
  };
  const ask = (statement: string) => said(async () => (await linkToDatabase(connection, "/")).query(statement));
  const names = async () => (await ask("SHOW USERS")).map(({ user }) => String(user));

  return {
    async makeAdministrator() {
      // Only while there is no account at all may this be asked without one; afterwards the same again is no change.
      await ask(`CREATE USER "${administrator}" WITH PASSWORD '${password}' WITH ALL PRIVILEGES`);
    },
    async set(accounts, right) {
      const users = accounts.map((account) => ({ ...account, right }));
      const keepReadings_s = machine.keepReadings_d * day_s;
      await said(() => setUpDatabase(connection, "/", { keepReadings_s, users }));
    },
    async remove(name) {
      if ((await names()).includes(name)) await ask(`DROP USER "${name}"`);
    },
    names,
  };
}

async function said<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (cause) {
    if (cause instanceof StoreError) throw new Mistake(cause.message, { cause });
    throw cause;
  }
}
