// Boards come and go: enrolled, given new passwords, removed. Each step can be run again; what a broken-off one left
// undone, the next one does.

import { existsSync, readdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { type BoardSecrets, bundlePath, keepBundle } from "./board-bundle.ts";
import { type Account, removeBrokerAccount, setBrokerAccounts } from "./broker-files.ts";
import { type BasinWords, keepBasin, refuseUnknownCustomer, removeBasin } from "./central-file.ts";
import { databaseAccounts } from "./database-accounts.ts";
import { keepFolder } from "./keep-file.ts";
import { loadMachine } from "./machine.ts";
import { Mistake } from "./mistake.ts";
import { boardName } from "./names.ts";
import type { Places } from "./places.ts";
import { secretIn } from "./secret.ts";

export interface NewBoard {
  readonly name: string;
  readonly words?: BasinWords;
}

/**
 * Accounts at broker and database, a place in the central view, and the file for each board. A board that is enrolled
 * already keeps its passwords and what central.yaml says of it.
 *
 * @returns the files to carry to the boards, in their order
 * @throws {Mistake} before anything is done, when a name will not do or the database does not answer
 */
export async function enrol(places: Places, boards: readonly NewBoard[]): Promise<string[]> {
  const machine = loadMachine(places);
  for (const { name, words } of boards) {
    boardName(name);
    if (words?.customer !== undefined) refuseUnknownCustomer(places, words.customer);
  }
  const database = databaseAccounts(places, machine);
  await database.names();
  const secrets = boards.map(({ name }) => secretsOf(places, name));
  const accounts = (of: keyof BoardSecrets) =>
    boards.map(({ name }, i) => ({ name, password: secrets[i]?.[of] ?? "" }));
  await database.set(accounts("database"), "WRITE");
  setBrokerAccounts(places, accounts("broker"));
  for (const { name, words } of boards) keepBasin(places, name, words ?? {});
  return boards.map(({ name }, i) => keepBundle(places, machine, name, secrets[i] as BoardSecrets));
}

/** New passwords for a board, which is shut out until its new file is on it; it keeps its record and sends it then. */
export async function renew(places: Places, name: string): Promise<string> {
  refuseUnknown(places, name);
  await databaseAccounts(places, loadMachine(places)).names();
  rmSync(join(places.boards, name), { recursive: true });
  const [bundle] = await enrol(places, [{ name }]);
  return bundle as string;
}

/** Takes accounts and file away; what the board wrote stays in the database. */
export async function remove(places: Places, name: string): Promise<void> {
  refuseUnknown(places, name);
  await databaseAccounts(places, loadMachine(places)).remove(name);
  removeBrokerAccount(places, name);
  removeBasin(places, name);
  rmSync(bundlePath(places, name), { force: true });
  rmSync(join(places.boards, name), { recursive: true });
}

/** Accounts of those enrolled, as the database has to know them. */
export function boardsAtDatabase(places: Places): Account[] {
  return boardsHere(places).map((name) => ({ name, password: secretsOf(places, name).database }));
}

/** In order of their names. */
export function boardsHere(places: Places): string[] {
  return existsSync(places.boards) ? readdirSync(places.boards).sort() : [];
}

function refuseUnknown(places: Places, name: string): void {
  boardName(name);
  if (existsSync(join(places.boards, name))) return;
  const others = boardsHere(places);
  const here = others.length === 0 ? "none is" : `enrolled: ${others.slice(0, 10).join(", ")}`;
  throw new Mistake(`board ${JSON.stringify(name)}: not enrolled here${others.length > 10 ? "" : ` (${here})`}`);
}

function secretsOf(places: Places, name: string): BoardSecrets {
  const folder = join(places.boards, name);
  keepFolder(folder, { mode: 0o700 });
  const secret = (of: keyof BoardSecrets) => secretIn(join(folder, of), { mode: 0o600 });
  return { broker: secret("broker"), database: secret("database") };
}
