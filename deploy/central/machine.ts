// What was said of the machine at set-up: its names, ports and the address it listens on. Kept in a file, so that set-up
// can be run again without saying it again.

import { existsSync, readFileSync } from "node:fs";
import { isIP } from "node:net";
import { parse, stringify } from "yaml";
import * as z from "zod";
import { keepFile } from "./keep-file.ts";
import { Mistake } from "./mistake.ts";
import { machineName } from "./names.ts";
import type { Places } from "./places.ts";

const port = z.int().min(1).max(65_535);

const machineSchema = z.strictObject({
  /** The first is the one that boards are told. */
  names: z.array(z.string()).min(1),
  /** Address to listen on; null: every one. */
  listen: z.string().nullable(),
  brokerPort: port,
  databasePort: port,
  /** Of the database, inside the machine. */
  rpcPort: port,
  pagePort: port,
  /** How long single readings are kept there; all else for ever. */
  keepReadings_d: z.int().min(7).max(36_500),
});

export type Machine = z.output<typeof machineSchema>;

const usual = {
  listen: null,
  brokerPort: 8883,
  databasePort: 8086,
  rpcPort: 8088,
  pagePort: 8443,
  keepReadings_d: 400,
};

/** @throws {Mistake} when the machine was not set up yet, or the file is not what set-up wrote */
export function loadMachine(places: Places): Machine {
  if (!existsSync(places.machine)) {
    throw new Mistake(`${places.machine} is missing: set the machine up first (set-up --name <name or address>)`);
  }
  const read = machineSchema.safeParse(parse(readFileSync(places.machine, "utf8")));
  if (!read.success) throw new Mistake(`${places.machine}: ${z.prettifyError(read.error)}`);
  return read.data;
}

/** What is given, over what was given before, over what is usual. */
export function keepMachine(places: Places, given: Partial<Machine>): Machine {
  const before: Partial<Machine> = existsSync(places.machine) ? loadMachine(places) : {};
  const names = given.names ?? before.names;
  if (names === undefined) {
    throw new Mistake("expected --name: the host name or address under which boards reach this machine");
  }
  if (given.listen != null && isIP(given.listen) === 0) {
    throw new Mistake(`--listen ${JSON.stringify(given.listen)}: expected an IP address`);
  }
  const machine = machineSchema.parse({ ...usual, ...before, ...given, names: [...new Set(names.map(machineName))] });
  const note = "# Written by `undercroft-central set-up`; run that again to change it.\n";
  keepFile(places.machine, note + stringify(machine), { mode: 0o644 });
  return machine;
}

/** Under which the machine's own programs reach each other, beside the names that were given. */
const ownNames = ["localhost", "127.0.0.1", "::1"];

export function certificateNames(machine: Machine): string[] {
  return [...new Set([...machine.names, ...ownNames, ...(machine.listen === null ? [] : [machine.listen])])];
}

/** Where the machine's own programs reach each other, as it stands in a URL. */
export function ownAddress({ listen }: Machine): string {
  if (listen === null) return "127.0.0.1";
  return listen.includes(":") ? `[${listen}]` : listen;
}
